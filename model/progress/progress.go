// Package progress tells how much of a long act is done. Whoever waits for the act puts a function into
// its context; whoever does a part of it says what is done. Without such a function nothing happens.
package progress

import (
	"context"
	"sync"
)

type key struct{}

// part is a part of an act, from one share of the whole to another.
type part struct {
	from, to float64
	whole    *whole
}

type whole struct {
	mu   sync.Mutex
	most float64
	tell func(done float64)
}

// With returns a context in which tell hears of the share that is done, from 0 to 1. It never goes
// back, and is told in whole hundredths. Tell is called by the goroutine that does the act.
func With(ctx context.Context, tell func(done float64)) context.Context {
	return context.WithValue(ctx, key{}, part{0, 1, &whole{tell: tell}})
}

// Part returns a context for a part of the act, from one share of it to another.
func Part(ctx context.Context, from, to float64) context.Context {
	p, ok := ctx.Value(key{}).(part)
	if !ok {
		return ctx
	}
	width := p.to - p.from
	return context.WithValue(ctx, key{}, part{p.from + from*width, p.from + to*width, p.whole})
}

// Of says that so much of the total of the act, or of the part that the context is for, is done.
func Of(ctx context.Context, done, total int64) {
	p, ok := ctx.Value(key{}).(part)
	if !ok || total <= 0 {
		return
	}
	now := p.from + float64(min(max(done, 0), total))/float64(total)*(p.to-p.from)
	now = float64(int(now*100+1e-9)) / 100
	p.whole.mu.Lock()
	defer p.whole.mu.Unlock()
	if now > p.whole.most {
		p.whole.most = now
		p.whole.tell(now)
	}
}
