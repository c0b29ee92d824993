package scale_test

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"benchproof/compiler/scale"
	"benchproof/dsl/syntax"
)

// A cost is what one run took.
type cost struct {
	wall, processor time.Duration
	peak            int64 // bytes; of a process
}

func (c cost) String() string {
	return fmt.Sprintf("%8.2f s, %8.2f s processor, %5.0f MB", c.wall.Seconds(), c.processor.Seconds(), float64(c.peak)/1e6)
}

// say prints at once: what a benchmark logs is cut off.
func say(format string, arguments ...any) { fmt.Printf(format+"\n", arguments...) }

// program runs a program whose name is not written out: what is compared with
// is installed by .ci/bench and not by .ci/test.
func program(b *testing.B, stdout *os.File, name string, arguments ...string) cost {
	b.Helper()
	cmd := exec.Command(name, arguments...)
	var said strings.Builder
	cmd.Stderr = &said
	if stdout != nil {
		cmd.Stdout = stdout
	}
	begin := time.Now()
	if err := cmd.Run(); err != nil {
		b.Fatalf("%s: %v %.400s", name, err, said.String())
	}
	c := cost{wall: time.Since(begin), processor: cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()}
	if usage, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
		c.peak = usage.Maxrss * 1024
	}
	return c
}

// inside measures work of this process.
func inside(f func()) cost {
	processor := func() time.Duration {
		var u syscall.Rusage
		_ = syscall.Getrusage(syscall.RUSAGE_SELF, &u)
		return time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	begin, was := time.Now(), processor()
	f()
	return cost{wall: time.Since(begin), processor: processor() - was}
}

// A sheet gathers what was measured: a row for each measure, a column for each
// size, as a table that stands in README.md and DEVELOPERS.md.
type sheet struct {
	rows  []string
	sizes []string
	cells map[[2]string]string
}

func (s *sheet) put(row, size, format string, arguments ...any) {
	if !slices.Contains(s.rows, row) {
		s.rows = append(s.rows, row)
	}
	s.cells[[2]string{row, size}] = fmt.Sprintf(format, arguments...)
}

func (s *sheet) print() {
	say("\n| procedures | %s |\n|---|%s", strings.Join(s.sizes, " | "), strings.Repeat("--:|", len(s.sizes)))
	for _, row := range s.rows {
		var line []string
		for _, size := range s.sizes {
			line = append(line, s.cells[[2]string{row, size}])
		}
		say("| %s | %s |", row, strings.Join(line, " | "))
	}
}

// BenchmarkRatios measures the program on libraries of several sizes beside
// what one would run instead and the floors that nothing goes below. Ratios are
// of processor time, which other work on the machine disturbs least; the
// browser's is of wall time, since its processes are its own, and writing is
// given by both: what is waited for is the disk.
func BenchmarkRatios(b *testing.B) {
	sizes := strings.Fields(os.Getenv("BENCHPROOF_SIZES"))
	if len(sizes) == 0 {
		sizes = []string{"1"}
	}
	dir := b.TempDir()
	bin := filepath.Join(dir, "benchproof")
	program(b, nil, "go", "build", "-o", bin, "benchproof/cmd/benchproof")
	load, _ := os.ReadFile("/proc/loadavg")
	say("%d processors, load before: %s", runtime.NumCPU(), strings.TrimSpace(string(load)))
	table := &sheet{sizes: sizes, cells: map[[2]string]string{}}
	for b.Loop() {
		for _, size := range sizes {
			n, err := strconv.Atoi(size)
			if err != nil {
				b.Fatal(err)
			}
			ratios(b, table, bin, filepath.Join(dir, size), n)
		}
	}
	load, _ = os.ReadFile("/proc/loadavg")
	say("load after: %s", strings.TrimSpace(string(load)))
	table.print()
}

func ratios(b *testing.B, table *sheet, bin, dir string, n int) {
	defer os.RemoveAll(dir)
	size := strconv.Itoa(n)
	tell := func(what string, c cost, also string) { say("%6d  %-34s %s  %s", n, what, c, also) }
	put := func(row, format string, arguments ...any) { table.put(row, size, format, arguments...) }
	library, cache := filepath.Join(dir, "library"), filepath.Join(dir, "cache")
	b.Setenv("BENCHPROOF_CACHE", cache)
	sources, bytes := scale.Generate(n), 0
	for name, text := range sources {
		bytes += len(text)
		file := filepath.Join(library, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			b.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			b.Fatal(err)
		}
	}
	times := func(c, floor cost) float64 { return float64(c.processor) / float64(floor.processor) }

	// Floors.
	read := inside(func() {
		for name := range sources {
			if _, err := os.ReadFile(filepath.Join(library, filepath.FromSlash(name))); err != nil {
				b.Fatal(err)
			}
		}
	})
	tell("read the sources", read, fmt.Sprintf("%d bytes", bytes))
	put("reading the sources, s", "%.3f", read.wall.Seconds())
	gofmt := program(b, nil, "gofmt", "-l", goSources(b, filepath.Join(dir, "go"), bytes))
	tell("gofmt -l on as many bytes of Go", gofmt, "")
	put("gofmt -l on as many bytes of Go, s", "%.2f", gofmt.wall.Seconds())

	// The front end.
	parse := inside(func() {
		for name, text := range sources {
			f, _ := syntax.Load([]byte(text), name)
			syntax.Parse(f)
		}
	})
	tell("parse", parse, "")
	put("parsing ÷ gofmt", "%.1f", times(parse, gofmt))
	check := program(b, nil, bin, "check", "--no-cache", library)
	tell("check", check, "")
	put("check, s", "%.2f", check.wall.Seconds())
	put("check ÷ gofmt (aim 4)", "%.1f", times(check, gofmt))
	put("check, peak MB", "%.0f", float64(check.peak)/1e6)

	// Documents.
	made := map[string]cost{}
	for _, format := range []string{"markdown", "html", "pdf"} {
		out := filepath.Join(dir, format)
		c := program(b, nil, bin, "build", "--no-cache", "--to", format, "--out", out, library)
		made[format] = c
		written, length := copied(b, out, filepath.Join(dir, "copy"))
		os.RemoveAll(filepath.Join(dir, "copy"))
		alone := c
		alone.processor -= check.processor
		alone.wall -= check.wall
		used := 100 * c.processor.Seconds() / c.wall.Seconds() / float64(runtime.NumCPU())
		tell("build "+format, c, fmt.Sprintf("%d bytes", length))
		tell("writing these bytes", written, "")
		name := map[string]string{"markdown": "Markdown", "html": "HTML", "pdf": "PDF"}[format]
		put(name+", s", "%.2f", c.wall.Seconds())
		if format == "pdf" {
			put("PDF, processors used (aim 85 %)", "%.0f %%", used)
			put("PDF, peak MB", "%.0f", float64(c.peak)/1e6)
		} else {
			put(name+" less check ÷ writing its bytes, wall (aim 3)", "%.1f", float64(alone.wall)/float64(written.wall))
			put(name+" less check ÷ writing its bytes, processor", "%.1f", times(alone, written))
			put(name+", peak MB", "%.0f", float64(c.peak)/1e6)
		}
	}
	out := filepath.Join(dir, "all")
	all := program(b, nil, bin, "build", "--out", out, library)
	tell("build all", all, "")
	put("all three formats, stored, s", "%.2f", all.wall.Seconds())
	again := program(b, nil, bin, "build", "--out", out, library)
	tell("build all, nothing changed", again, "")
	put("again, nothing changed, s", "%.2f", again.wall.Seconds())
	edited := filepath.Join(library, filepath.FromSlash(scale.Path(0)))
	text := strings.Replace(sources[scale.Path(0)], "{ note \"", "{ note \"Look twice. ", 1)
	if text == sources[scale.Path(0)] {
		text = strings.Replace(text, "step \"", "step \"Look twice. ", 1)
	}
	if err := os.WriteFile(edited, []byte(text), 0o644); err != nil {
		b.Fatal(err)
	}
	edit := program(b, nil, bin, "build", "--out", out, library)
	tell("build all, one step edited", edit, "")
	put("again, one step edited, s", "%.2f", edit.wall.Seconds())

	// What one would run instead: on a sample, scaled to all.
	sample := min(n, 20)
	scaled := func(c cost) cost {
		c.wall, c.processor = c.wall*time.Duration(n)/time.Duration(sample), c.processor*time.Duration(n)/time.Duration(sample)
		return c
	}
	var converter, typesetter cost
	pages := 0
	discard, err := os.Create(filepath.Join(dir, "converted"))
	if err != nil {
		b.Fatal(err)
	}
	defer discard.Close()
	for i := range sample {
		source := filepath.Join(dir, "markdown", scale.Name(i)+".md")
		add := func(to *cost, c cost) {
			to.wall, to.processor, to.peak = to.wall+c.wall, to.processor+c.processor, max(to.peak, c.peak)
		}
		add(&converter, program(b, discard, "cmark", "--unsafe", source))
		manual, err := os.Create(filepath.Join(dir, "page.man"))
		if err != nil {
			b.Fatal(err)
		}
		program(b, manual, "cmark", "-t", "man", source)
		manual.Close()
		add(&typesetter, program(b, discard, "groff", "-K", "utf8", "-man", "-Tpdf", manual.Name()))
		said, err := exec.Command("pdfinfo", filepath.Join(dir, "pdf", scale.Name(i)+".pdf")).Output()
		if err != nil {
			b.Fatal(err)
		}
		for _, line := range strings.Split(string(said), "\n") {
			if rest, ok := strings.CutPrefix(line, "Pages:"); ok {
				k, _ := strconv.Atoi(strings.TrimSpace(rest))
				pages += k
			}
		}
	}
	whole := float64(pages) / float64(sample) * float64(n)
	alone := made["html"]
	alone.processor -= check.processor
	tell(fmt.Sprintf("cmark, %d scaled to all", sample), scaled(converter), "")
	put("cmark on our Markdown ÷ our HTML less check", "%.1f", times(scaled(converter), alone))
	tell(fmt.Sprintf("groff to PDF, %d scaled to all", sample), scaled(typesetter), "")
	put("groff ÷ our PDF (aim 5)", "%.1f", times(scaled(typesetter), made["pdf"]))
	printed := scaled(browserPrints(b, filepath.Join(dir, "html"), sample))
	tell(fmt.Sprintf("browser to PDF, %d scaled to all", sample), printed, "")
	put("browser's print ÷ our PDF, wall (aim 20)", "%.1f", float64(printed.wall)/float64(made["pdf"].wall))
	put("PDF less check, ms of processor a page (aim 1.2)", "%.2f", 1000*(made["pdf"].processor-check.processor).Seconds()/whole)
}

// goSources writes as many bytes of Go's own library.
func goSources(b *testing.B, dir string, bytes int) string {
	b.Helper()
	if err := os.MkdirAll(dir, 0o755); err != nil {
		b.Fatal(err)
	}
	where, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		b.Fatal(err)
	}
	names, err := filepath.Glob(filepath.Join(strings.TrimSpace(string(where)), "src", "go", "*", "*.go"))
	if err != nil || len(names) == 0 {
		b.Fatal("no sources of Go: ", err)
	}
	for i := 0; bytes > 0; i++ {
		text, err := os.ReadFile(names[i%len(names)])
		if err != nil {
			b.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("f%d.go", i)), text, 0o644); err != nil {
			b.Fatal(err)
		}
		bytes -= len(text)
	}
	return dir
}

// copied measures writing the files of a folder anew as the program writes them:
// staged, made lasting and moved to their places.
func copied(b *testing.B, from, to string) (cost, int) {
	b.Helper()
	if err := os.MkdirAll(to, 0o755); err != nil {
		b.Fatal(err)
	}
	names, err := filepath.Glob(filepath.Join(from, "*"))
	if err != nil || len(names) == 0 {
		b.Fatal("nothing was written: ", err)
	}
	var c cost
	size := 0
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			b.Fatal(err)
		}
		size += len(data)
		place := filepath.Join(to, filepath.Base(name))
		one := inside(func() { err = lasting(place, data) })
		if err != nil {
			b.Fatal(err)
		}
		c.wall += one.wall
		c.processor += one.processor
	}
	return c, size
}

func lasting(place string, data []byte) error {
	f, err := os.OpenFile(place+".new", os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	defer f.Close()
	if _, err := f.Write(data); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	return os.Rename(place+".new", place)
}

// browserPrints prints the first pages of a folder in one browser kept open.
func browserPrints(b *testing.B, dir string, n int) cost {
	b.Helper()
	options := []chromedp.ExecAllocatorOption{chromedp.UserDataDir(b.TempDir()), chromedp.NoFirstRun, chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU}
	for _, name := range []string{"disable-quic", "disable-background-networking", "disable-component-update", "disable-sync"} {
		options = append(options, chromedp.Flag(name, true))
	}
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	defer cancel()
	ctx, _ = chromedp.NewContext(ctx)
	if err := chromedp.Do(ctx); err != nil {
		b.Fatal(err)
	}
	defer func() { _ = chromedp.Cancel(ctx) }()
	return inside(func() {
		for i := range n {
			address := url.URL{Scheme: "file", Path: filepath.Join(dir, scale.Name(i)+".html")}
			if err := chromedp.Do(ctx, chromedp.Navigate(address.String())); err != nil {
				b.Fatal(err)
			}
			if data, err := chromedp.Run(ctx, chromedp.PrintToPDF()); err != nil || len(data) == 0 {
				b.Fatal("the browser printed nothing: ", err)
			}
		}
	})
}
