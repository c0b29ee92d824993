package crew

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
)

func TestEachPieceIsDoneOnce(t *testing.T) {
	for _, n := range []int{0, 1, 2, 1000} {
		done := make([]int32, n)
		if err := Each(context.Background(), n, func(i int) { atomic.AddInt32(&done[i], 1) }); err != nil {
			t.Fatal(err)
		}
		for i, times := range done {
			if times != 1 {
				t.Errorf("%d pieces: number %d was done %d times", n, i, times)
			}
		}
	}
}

func TestNothingBeginsWhenTheContextIsDone(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	var done atomic.Int32
	err := Each(ctx, 100000, func(i int) {
		if done.Add(1) == 10 {
			stop()
		}
	})
	if !errors.Is(err, context.Canceled) || done.Load() == 100000 {
		t.Errorf("%v after %d pieces", err, done.Load())
	}
	// All was done before it was too late: that is no fault.
	ctx, stop = context.WithCancel(context.Background())
	if err := Each(ctx, 1, func(int) { stop() }); err != nil {
		t.Error(err)
	}
}

func TestAPanicComesOutWhenTheOthersHaveEnded(t *testing.T) {
	var open atomic.Int32
	defer func() {
		if fault := recover(); fault != "a fault" || open.Load() != 0 {
			t.Errorf("%v, with %d at work", fault, open.Load())
		}
	}()
	_ = Each(context.Background(), 100, func(i int) {
		open.Add(1)
		defer open.Add(-1)
		if i == 3 {
			panic("a fault")
		}
	})
	t.Error("no panic")
}
