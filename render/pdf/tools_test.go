package pdf

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// tool runs a program on a file and returns what it printed. A program that is
// not there fails the test: what it checks would go unchecked.
func tool(t testing.TB, file []byte, name string, args ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "file.pdf")
	if err := os.WriteFile(path, file, 0o644); err != nil {
		t.Fatal(err)
	}
	for i, a := range args {
		if a == "FILE" {
			args[i] = path
		}
	}
	var out, errs bytes.Buffer
	cmd := exec.Command(name, args...)
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s: %v\n%s%s", name, err, out.String(), errs.String())
	}
	for _, line := range strings.Split(errs.String(), "\n") {
		// Debian builds MuPDF without colour management and says so each time.
		if line = strings.TrimSpace(line); line != "" && line != "warning: ICC support is not available" {
			t.Fatalf("%s says: %s", name, line)
		}
	}
	return out.String()
}

// valid checks a file with all the readers at hand: qpdf reads its syntax,
// poppler its fonts, structure and text, MuPDF draws its pages.
func valid(t testing.TB, file []byte) {
	t.Helper()
	if out := tool(t, file, "qpdf", "--check", "FILE"); !strings.Contains(out, "No syntax or stream encoding errors found") || strings.Contains(out, "WARNING") {
		t.Errorf("qpdf: %s", out)
	}
	info := tool(t, file, "pdfinfo", "FILE")
	for _, want := range []string{"Tagged:          yes", "Metadata Stream: yes", "Encrypted:       no", "JavaScript:      no"} {
		if !strings.Contains(info, want) {
			t.Errorf("pdfinfo: no %q in\n%s", want, info)
		}
	}
	fonts := strings.Split(strings.TrimSpace(tool(t, file, "pdffonts", "FILE")), "\n")[2:]
	if len(fonts) == 0 {
		t.Error("pdffonts: no fonts")
	}
	for _, f := range fonts {
		fields := strings.Fields(f)
		n := len(fields)
		if emb, sub, uni := fields[n-5], fields[n-4], fields[n-3]; emb != "yes" || sub != "yes" || uni != "yes" {
			t.Errorf("pdffonts: not embedded as a subset with a character map: %s", f)
		}
	}
	tool(t, file, "mutool", "draw", "-q", "-r", "20", "-o", filepath.Join(t.TempDir(), "p%d.png"), "FILE")
	tool(t, file, "mutool", "info", "FILE")
}
