package quantity

import (
	"math/rand/v2"
	"testing"
)

func BenchmarkNumberAdd(b *testing.B) {
	x, y := num("31.954"), num("0.004")
	b.ReportAllocs()
	for b.Loop() {
		x.Add(y)
	}
}

func BenchmarkNumberAddUnlike(b *testing.B) {
	x, y := num("31.954"), NewFrac(5, 9)
	b.ReportAllocs()
	for b.Loop() {
		x.Add(y)
	}
}

func BenchmarkNumberCmp(b *testing.B) {
	x, y := num("31.954"), num("31.95")
	b.ReportAllocs()
	for b.Loop() {
		x.Cmp(y)
	}
}

func BenchmarkParseNumber(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		_, _ = ParseNumber("31.954")
	}
}

func BenchmarkNumberString(b *testing.B) {
	x := num("31.954")
	b.ReportAllocs()
	for b.Loop() {
		_ = x.String()
	}
}

func BenchmarkConversion(b *testing.B) {
	q, to := New(num("18"), unit(b, "lbf.ft")), unit(b, "N.m")
	b.ReportAllocs()
	for b.Loop() {
		_, _ = q.In(to)
	}
}

func BenchmarkNearest(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Nearest("lfb.ft")
	}
}

func BenchmarkSetOf(b *testing.B) {
	s, r := micrometer(), Between(num("31.80"), false, num("31.954"), true)
	b.ReportAllocs()
	for b.Loop() {
		SetOf(s, r)
	}
}

func BenchmarkSetIntersect(b *testing.B) {
	s := micrometer()
	x, y := SetOf(s, Between(num("31.80"), false, num("31.954"), true)), SetOf(s, Below(num("31.9")), Above(num("32")))
	b.ReportAllocs()
	for b.Loop() {
		x.Intersect(y)
	}
}

func BenchmarkSetKey(b *testing.B) {
	x := SetOf(micrometer(), Below(num("31.9")), Above(num("32")))
	b.ReportAllocs()
	for b.Loop() {
		_ = x.Key()
	}
}

func BenchmarkGuard(b *testing.B) {
	s := micrometer()
	branches := []Branch{
		{Range: Above(num("32.01"))}, {Range: Between(num("31.95"), false, num("32.01"), false), Accept: true},
		{Range: Between(num("31.80"), false, num("31.95"), true)}, {Range: Below(num("31.80"))},
	}
	band := Band{Uncertainty: num("0.004"), Factor: num("1")}
	b.ReportAllocs()
	for b.Loop() {
		Guard(s, branches, band)
	}
}

// BenchmarkPartition reports how many ranges a second are judged: the figure
// hardly falls with their number, as the work grows with n log n.
func BenchmarkPartition(b *testing.B) {
	for _, n := range []int64{10, 100, 1000, 10_000} {
		ranges := make([]Range, n)
		for i := range ranges {
			k := int64(i)
			ranges[i] = Between(NewFrac(k, 10), false, NewFrac(k+1, 10), true)
		}
		r := rand.New(rand.NewPCG(1, 1))
		r.Shuffle(len(ranges), func(i, j int) { ranges[i], ranges[j] = ranges[j], ranges[i] })
		s := Scale{From: NewInt(0), To: NewFrac(n, 10).Sub(num("0.001")), Step: num("0.001")}
		if v := Partition(s, ranges); !v.Sound() {
			b.Fatalf("%+v", v)
		}
		b.Run(NewInt(n).String(), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Partition(s, ranges)
			}
			b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "ranges/s")
		})
	}
}
