// Package crew does pieces of work side by side.
//
// Input: a number of pieces and what does one of them. All processors work on
// them, in the order of their numbers as far as they get; who does which is
// left open, so a piece writes to nothing that another one reads. What comes of
// them is put together by number afterwards, and so does not depend on how many
// work.
package crew

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
)

// Each calls work for 0 up to n-1. When the context is done it begins no
// further piece, waits for those that were begun and gives the context's error.
// A panic of a piece comes out of Each when the others have ended.
func Each(ctx context.Context, n int, work func(i int)) error {
	var begun atomic.Int64
	var failed atomic.Pointer[any]
	var wg sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			defer func() {
				if fault := recover(); fault != nil {
					failed.CompareAndSwap(nil, &fault)
				}
			}()
			for ctx.Err() == nil && failed.Load() == nil {
				i := int(begun.Add(1)) - 1
				if i >= n {
					return
				}
				work(i)
			}
		})
	}
	wg.Wait()
	if fault := failed.Load(); fault != nil {
		panic(*fault)
	}
	if int(begun.Load()) < n {
		return ctx.Err()
	}
	return nil
}
