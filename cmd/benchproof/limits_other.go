//go:build !unix

package main

// noWaiting has no meaning where pipes have no place among files.
const noWaiting = 0

// heedLimits has nothing to do where files have no limit of their own.
func heedLimits() {}
