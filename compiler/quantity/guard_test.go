package quantity

import "testing"

func num(s string) Number { return MustNumber(s) }

func micrometer() Scale { return Scale{From: num("25"), To: num("50"), Step: num("0.001")} }

func TestGuardPumpBench(t *testing.T) {
	branches := []Branch{
		{Range: Above(num("32.01"))},
		{Range: Between(num("31.95"), false, num("32.01"), false), Accept: true},
		{Range: Between(num("31.80"), false, num("31.95"), true)},
		{Range: Below(num("31.80"))},
	}
	want := []string{"above 32.006", "from 31.954 to 32.006", "from 31.8 to below 31.954", "below 31.8"}
	for i, a := range Guard(micrometer(), branches, Band{Uncertainty: num("0.004"), Factor: num("1")}) {
		if got := a.Range.String(); got != want[i] {
			t.Errorf("branch %d: %s, want %s", i, got, want[i])
		}
	}
}
