//go:build unix

package main

import (
	"os/signal"
	"syscall"
)

// heedLimits lets a write beyond the size that a file may have fail like a write
// to a full disk, and not end the program on the spot.
func heedLimits() { signal.Ignore(syscall.SIGXFSZ) }
