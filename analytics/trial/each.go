package trial

import (
	"context"
	"sync"
	"sync/atomic"
)

// each does work(i) for every i below n, on so many workers at once, each with a
// function of its own from make. It returns the error of ctx when that ends
// before all is done. What work(i) does must depend on i alone, so that the
// number of workers makes no difference.
func each(ctx context.Context, workers, n int, make func() (work func(i int))) error {
	var next atomic.Int64
	var all sync.WaitGroup
	for range min(workers, n) {
		all.Go(func() {
			work := make()
			for i := next.Add(1) - 1; i < int64(n) && ctx.Err() == nil; i = next.Add(1) - 1 {
				work(int(i))
			}
		})
	}
	all.Wait()
	return ctx.Err()
}
