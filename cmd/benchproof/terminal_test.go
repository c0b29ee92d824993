package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// A console is a terminal whose other end the test reads.
type console struct{ far, near *os.File }

// openConsole opens a terminal of so many columns (pty(7) of Linux).
func openConsole(t *testing.T, columns uint16) *console {
	t.Helper()
	far, err := os.OpenFile("/dev/ptmx", os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { far.Close() })
	fd := int(far.Fd())
	if err := unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0); err != nil {
		t.Fatal(err)
	}
	number, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	if err != nil {
		t.Fatal(err)
	}
	if err := unix.IoctlSetWinsize(fd, unix.TIOCSWINSZ, &unix.Winsize{Row: 25, Col: columns}); err != nil {
		t.Fatal(err)
	}
	near, err := os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { near.Close() })
	return &console{far, near}
}

// read gives all that was written once the program has let go of the terminal.
func (c *console) read() string {
	c.near.Close()
	var b strings.Builder
	part := make([]byte, 4096)
	for {
		n, err := c.far.Read(part)
		b.Write(part[:n])
		if err != nil { // EIO: nobody holds the other end
			return strings.ReplaceAll(b.String(), "\r\n", "\n")
		}
	}
}

// Messages on a terminal, as the program writes them there: in colour, unless
// NO_COLOR or a terminal without any says otherwise, and in its width.
func TestMessagesOnATerminal(t *testing.T) {
	for name, c := range map[string]struct {
		columns uint16
		env     []string
	}{
		"colour":   {100, []string{"TERM=xterm-256color"}},
		"no-color": {100, []string{"TERM=xterm-256color", "NO_COLOR=1"}},
		"dumb":     {100, []string{"TERM=dumb"}},
		"narrow":   {48, []string{"TERM=xterm-256color", "NO_COLOR=1"}},
	} {
		t.Run(name, func(t *testing.T) {
			terminal := openConsole(t, c.columns)
			cmd := program(t, "check", "lib")
			cmd.Dir = filepath.Join("testdata", "terminal")
			for _, v := range os.Environ() {
				if !strings.HasPrefix(v, "TERM=") && !strings.HasPrefix(v, "NO_COLOR=") {
					cmd.Env = append(cmd.Env, v)
				}
			}
			cmd.Env = append(cmd.Env, c.env...)
			cmd.Stdout, cmd.Stderr = terminal.near, terminal.near
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			said := make(chan string, 1)
			go func() { said <- terminal.read() }()
			if err := cmd.Wait(); err == nil {
				t.Error("the wrong library passes")
			}
			var got string
			select {
			case got = <-said:
			case <-time.After(10 * time.Second):
				t.Fatal("the terminal is not let go of")
			}
			file := filepath.Join("testdata", "terminal", name+".txt")
			want, err := os.ReadFile(file)
			if err == nil && string(want) == got {
				return
			}
			if *update {
				if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			t.Errorf("%s: a person sees\n%s\nand should see\n%s(%v)", name, got, want, err)
		})
	}
}
