package editor

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/tools/txtar"
)

// program builds the real program.
func program(t testing.TB) string {
	t.Helper()
	bin := filepath.Join(t.TempDir(), "benchproof")
	if out, err := exec.Command("go", "build", "-o", bin, "benchproof/cmd/benchproof").CombinedOutput(); err != nil {
		t.Fatalf("go build: %v\n%s", err, out)
	}
	return bin
}

// The real program with a real editor: Neovim, as Debian has it, does what a
// person does, and writes down what came of it.
func TestNeovim(t *testing.T) {
	nvim, err := exec.LookPath("nvim")
	if err != nil {
		t.Fatalf("Neovim is missing: apt-get install neovim (%v)", err)
	}
	archive, err := txtar.ParseFile("testdata/messages.txtar")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for _, f := range archive.Files {
		if strings.HasSuffix(f.Name, ".proc") {
			if err := os.WriteFile(filepath.Join(dir, f.Name), f.Data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	script, err := filepath.Abs("testdata/neovim/talk.lua")
	if err != nil {
		t.Fatal(err)
	}
	home := t.TempDir()
	said := filepath.Join(home, "said")
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, nvim, "--headless", "--clean", "-n", "-c", "luafile "+script)
	cmd.Env = append(os.Environ(), "BENCHPROOF="+program(t), "LIBRARY="+dir, "OUT="+said, "HOME="+home, "XDG_STATE_HOME="+home, "XDG_CACHE_HOME="+home,
		"XDG_DATA_HOME="+home, "XDG_CONFIG_HOME="+home, "LC_ALL=C.UTF-8")
	output, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("nvim: %v\n%s", err, output)
	}
	got, err := os.ReadFile(said)
	if err != nil {
		t.Fatalf("%v\n%s", err, output)
	}
	const golden = "testdata/neovim/said.txt"
	want, err := os.ReadFile(golden)
	if err != nil && !*update {
		t.Fatal(err)
	}
	if string(got) == string(want) {
		return
	}
	if *update {
		if err := os.WriteFile(golden, got, 0o644); err != nil {
			t.Fatal(err)
		}
		t.Fatal("rewritten: read the difference")
	}
	t.Errorf("Neovim says\n%s\nand not\n%s\n%s", got, want, output)
}

// The notes on Neovim are run as they stand: a file that is opened gets its
// server.
func TestTheNotesOnNeovim(t *testing.T) {
	nvim, err := exec.LookPath("nvim")
	if err != nil {
		t.Fatalf("Neovim is missing: apt-get install neovim (%v)", err)
	}
	notes, err := os.ReadFile("SETUP.md")
	if err != nil {
		t.Fatal(err)
	}
	_, lua, found := strings.Cut(string(notes), "```lua\n")
	lua, _, ends := strings.Cut(lua, "```")
	if !found || !ends {
		t.Fatal("the notes hold no Lua")
	}
	home := t.TempDir()
	said := filepath.Join(home, "said")
	write := func(name, text string) string {
		path := filepath.Join(home, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	config := write("init.lua", lua)
	source := write("bench.proc", "library \"One\" {\n  langage en\n}\n")
	probe := write("probe.lua", `
vim.wait(30000, function() return #vim.diagnostic.get(0) > 0 end, 20)
local f = assert(io.open(vim.env.OUT, 'w'))
f:write(vim.bo.filetype, ' ', vim.bo.omnifunc, ' ', #vim.diagnostic.get(0))
f:close()
vim.cmd('qall!')
`)
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, nvim, "--headless", "--clean", "-u", config, "-n", source, "-c", "luafile "+probe)
	cmd.Dir = home
	cmd.Env = append(os.Environ(), "OUT="+said, "HOME="+home, "PATH="+filepath.Dir(program(t))+string(os.PathListSeparator)+os.Getenv("PATH"))
	output, err := cmd.CombinedOutput()
	got, _ := os.ReadFile(said)
	if want := "benchproof v:lua.vim.lsp.omnifunc 1"; err != nil || string(got) != want {
		t.Errorf("%v: %q, not %q\n%s", err, got, want, output)
	}
}
