package scale_test

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
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

// BenchmarkRatios measures the program on libraries of several sizes beside
// what one would run instead and the floors that nothing goes below. Ratios are
// of processor time, which other work on the machine disturbs least; the
// browser's is of wall time, since its processes are its own.
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
	for b.Loop() {
		for _, s := range sizes {
			n, err := strconv.Atoi(s)
			if err != nil {
				b.Fatal(err)
			}
			ratios(b, bin, filepath.Join(dir, s), n)
		}
	}
	load, _ = os.ReadFile("/proc/loadavg")
	say("load after: %s", strings.TrimSpace(string(load)))
}

func ratios(b *testing.B, bin, dir string, n int) {
	tell := func(what string, c cost, also string) { say("%6d  %-34s %s  %s", n, what, c, also) }
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
	of := func(c, floor cost) string {
		return fmt.Sprintf("%.1f times", float64(c.processor)/float64(floor.processor))
	}

	// Floors.
	read := inside(func() {
		for name := range sources {
			if _, err := os.ReadFile(filepath.Join(library, filepath.FromSlash(name))); err != nil {
				b.Fatal(err)
			}
		}
	})
	tell("read the sources", read, fmt.Sprintf("%d bytes", bytes))
	gofmt := program(b, nil, "gofmt", "-l", goSources(b, filepath.Join(dir, "go"), bytes))
	tell("gofmt -l on as many bytes of Go", gofmt, "")

	// The front end.
	parse := inside(func() {
		for name, text := range sources {
			f, _ := syntax.Load([]byte(text), name)
			syntax.Parse(f)
		}
	})
	tell("parse", parse, of(parse, gofmt)+" gofmt")
	check := program(b, nil, bin, "check", "--no-cache", library)
	tell("check", check, of(check, gofmt)+" gofmt")

	// Documents.
	made := map[string]cost{}
	for _, format := range []string{"markdown", "html", "pdf"} {
		out := filepath.Join(dir, format)
		c := program(b, nil, bin, "build", "--no-cache", "--to", format, "--out", out, library)
		made[format] = c
		written, size := copied(b, out, filepath.Join(dir, "copy"))
		alone := c
		alone.processor -= check.processor
		tell("build "+format, c, fmt.Sprintf("%d bytes; less check %s writing them; %.0f %% of the processors", size, of(alone, written),
			100*c.processor.Seconds()/c.wall.Seconds()/float64(runtime.NumCPU())))
	}
	out := filepath.Join(dir, "all")
	tell("build all", program(b, nil, bin, "build", "--out", out, library), "")
	tell("build all, nothing changed", program(b, nil, bin, "build", "--out", out, library), "")
	edited := filepath.Join(library, filepath.FromSlash(scale.Path(0)))
	text := strings.Replace(sources[scale.Path(0)], "{ note \"", "{ note \"Look twice. ", 1)
	if text == sources[scale.Path(0)] {
		text = strings.Replace(text, "step \"", "step \"Look twice. ", 1)
	}
	if err := os.WriteFile(edited, []byte(text), 0o644); err != nil {
		b.Fatal(err)
	}
	tell("build all, one step edited", program(b, nil, bin, "build", "--out", out, library), "")

	// What one would run instead: on a sample, scaled to all.
	sample := min(n, 20)
	times := func(c cost) cost {
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
	tell(fmt.Sprintf("cmark, %d scaled to all", sample), times(converter), "")
	tell(fmt.Sprintf("groff to PDF, %d scaled to all", sample), times(typesetter), fmt.Sprintf("%.1f times build pdf", float64(times(typesetter).processor)/float64(made["pdf"].processor)))
	printed := times(browserPrints(b, filepath.Join(dir, "html"), sample))
	tell(fmt.Sprintf("browser to PDF, %d scaled to all", sample), printed, fmt.Sprintf("%.1f times build pdf in wall time", float64(printed.wall)/float64(made["pdf"].wall)))
	alone := made["pdf"].processor - check.processor
	say("%6d  PDF less check: %.2f ms of processor a page, %d pages a document", n, 1000*alone.Seconds()/(float64(pages)/float64(sample)*float64(n)), pages/sample)
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

// copied measures writing the files of a folder anew.
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
		one := inside(func() { err = os.WriteFile(filepath.Join(to, filepath.Base(name)), data, 0o644) })
		if err != nil {
			b.Fatal(err)
		}
		c.wall += one.wall
		c.processor += one.processor
	}
	return c, size
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
