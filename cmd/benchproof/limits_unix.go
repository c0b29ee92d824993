//go:build unix

package main

import (
	"os/signal"
	"syscall"
)

// noWaiting opens a pipe without waiting for its other end.
const noWaiting = syscall.O_NONBLOCK

// heedLimits lets a write beyond the size that a file may have fail like a write
// to a full disk, and not end the program on the spot.
func heedLimits() { signal.Ignore(syscall.SIGXFSZ) }
