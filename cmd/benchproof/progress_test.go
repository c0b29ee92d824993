package main

import (
	"bytes"
	"testing"
	"time"
)

func TestProgressShowsALongBuildAndTakesItsLineAway(t *testing.T) {
	var b bytes.Buffer
	p := &progress{w: &b, total: 3, begun: time.Now()}
	p.step("first")
	if b.Len() > 0 {
		t.Errorf("a build that has just begun shows %q", b.String())
	}
	p.begun = p.begun.Add(-2 * quietFor)
	p.step("second")
	p.step("third") // right behind: not shown
	if got, want := b.String(), clearLine+"2 of 3  second"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	p.end()
	p.step("after the end")
	if got, want := b.String(), clearLine+"2 of 3  second"+clearLine; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestProgressIsSilentInAPipe(t *testing.T) {
	var b bytes.Buffer
	p := newProgress(&b, 1)
	p.begun = p.begun.Add(-2 * quietFor)
	p.step("x")
	p.end()
	if b.Len() > 0 {
		t.Errorf("%q", b.String())
	}
}
