package main

import (
	"bufio"
	"io"
	"net/http"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"
)

// The real program: it says where the pages are, answers there, and ends on a
// signal at once and without a fault, with a page open.
func TestPreviewEndsOnASignal(t *testing.T) {
	for _, sign := range []os.Signal{os.Interrupt, syscall.SIGTERM} {
		cmd := program(t, "preview", "testdata/pump-bench")
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		var said strings.Builder
		cmd.Stderr = &said
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		defer cmd.Process.Kill() // no more there, where all is well
		line, err := bufio.NewReader(out).ReadString('\n')
		if err != nil {
			t.Fatal(err, said.String())
		}
		m := regexp.MustCompile(`^The pages of testdata/pump-bench are at (http://127\.0\.0\.1:\d+/) \(Ctrl-C ends the preview\)\.\n$`).FindStringSubmatch(line)
		if m == nil {
			t.Fatalf("it says %q", line)
		}
		page, err := http.Get(m[1] + "good/seal-change.html")
		if err != nil {
			t.Fatal(err)
		}
		body, err := io.ReadAll(page.Body)
		page.Body.Close()
		if err != nil || !strings.Contains(string(body), "Replace the mechanical seal") {
			t.Errorf("the page reads %.80q, %v", body, err)
		}
		news, err := http.Get(m[1] + "news")
		if err != nil {
			t.Fatal(err)
		}
		defer news.Body.Close()
		if err := cmd.Process.Signal(sign); err != nil {
			t.Fatal(err)
		}
		done := make(chan error, 1)
		go func() { done <- cmd.Wait() }()
		select {
		case err := <-done:
			if err != nil {
				t.Errorf("on %v: %v\n%s", sign, err, said.String())
			}
		case <-time.After(5 * time.Second):
			t.Errorf("on %v it does not end", sign)
		}
		if _, err := http.Get(m[1]); err == nil {
			t.Errorf("after %v it still answers", sign)
		}
		if said.String() != "0 errors, 0 warnings\n" {
			t.Errorf("it logs %q", said.String())
		}
	}
}

func TestPreviewThatCannotBegin(t *testing.T) {
	for _, c := range [][]string{
		{"preview", "nowhere", "there is no folder nowhere"},
		{"preview", "main.go", "main.go"},
		{"preview", "--port", "70000", "--port 70000: expected 0 to 65535"},
		{"preview", "testdata/script", "no source files"},
	} {
		n := len(c) - 1
		out, err := program(t, c[:n]...).CombinedOutput()
		e, ok := err.(*exec.ExitError)
		if !ok || e.ExitCode() != statusNoRun || !strings.Contains(string(out), c[n]) || strings.Count(string(out), "\n") > 1 {
			t.Errorf("%v: %v: %s", c[:n], err, out)
		}
	}
}
