// Command benchproof checks libraries of bench repair procedures and makes
// work instructions of them.
//
// Input: a folder of sources and the options of one command. Output: messages,
// documents, and an exit status: 0 when nothing is wrong (warnings allowed,
// unless --strict), 1 when the library is wrong, 2 when the command could not
// run. Each command stands in a file of its own; what is true of the language
// or of a document is decided in the packages below, never here.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"benchproof/dsl/message"
)

// The exit statuses.
const (
	statusFine  = 0
	statusWrong = 1
	statusNoRun = 2
)

// headroom is memory that nothing is ever written to, so that no page of it is
// taken from the system, but that the garbage collector counts. It collects when
// the heap has doubled; a small library would be collected after every document
// otherwise, and a tenth of the time spent on it.
var headroom = make([]byte, 32<<20)

func main() { os.Exit(run()) }

// run carries out the command line and gives the exit status.
func run() int {
	heedLimits()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	// A second signal ends the program where it stands: it may be waiting for a
	// pipe, and no file suffers.
	context.AfterFunc(ctx, stop)
	return execute(ctx, os.Args[1:], os.Stdout, os.Stderr)
}

// errWrong is what a command returns when the library is wrong: the messages
// have said so already.
var errWrong = errors.New("the library is wrong")

func execute(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	root := newRoot()
	root.SetArgs(args)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(ctx)
	switch {
	case err == nil:
		return statusFine
	case errors.Is(err, errWrong), errors.Is(err, errDiffer):
		return statusWrong
	case ctx.Err() != nil:
		err = errors.New("interrupted; nothing was changed")
	}
	fmt.Fprintf(stderr, "benchproof: %s\n", oneLine(err))
	return statusNoRun
}

// oneLine gives an error as one clear line.
func oneLine(err error) string {
	return message.Printable(strings.Join(strings.Fields(err.Error()), " "))
}
