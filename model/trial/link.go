package trial

import (
	"context"
	"errors"
	"fmt"
	"math/bits"
)

// batchesUnderway is how far the target may lag: more than the 4096 ticks that it may hold back.
const batchesUnderway = 8

// link carries batches to the target and compares what comes back. Without a target it does nothing.
type link struct {
	t       *trial
	kind    *Kind
	free    chan *batch
	in, out chan []int64
	pending chan *batch
	stop    context.CancelFunc
	ended   chan struct{} // the target has returned
	done    chan struct{} // every result is compared
	cost    Cost
	err     error // of the target; read after ended
	found   Same  // of this run, and what is wrong with it
	first   *Fault
	missing error
	early   bool // it ended before its inputs did
}

func (t *trial) connect(ctx context.Context, k *Kind) *link {
	l := &link{t: t, kind: k, free: make(chan *batch, batchesUnderway)}
	if t.options.Target == nil {
		l.free <- newBatch(t)
		return l
	}
	for range batchesUnderway {
		l.free <- newBatch(t)
	}
	l.in, l.out, l.pending = make(chan []int64, batchesUnderway), make(chan []int64, 4), make(chan *batch, batchesUnderway)
	l.ended, l.done = make(chan struct{}), make(chan struct{})
	ctx, l.stop = context.WithCancel(ctx)
	go func() {
		l.cost, l.err = t.options.Target.Run(ctx, l.in, l.out)
		close(l.out)
		close(l.ended)
	}()
	go l.compare()
	return l
}

// batch waits for a batch that is free.
func (l *link) batch(ctx context.Context) (*batch, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	select {
	case b := <-l.free:
		return b, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// send hands a batch that the machines are done with to the target, and tells whether there still is one.
func (l *link) send(b *batch) bool {
	if l.in == nil {
		l.free <- b
		return true
	}
	l.pending <- b // there is room for all batches
	select {
	case <-l.ended:
		l.early = true
		return false
	case l.in <- b.sent():
		return true
	}
}

// finish waits for the rest of the results.
func (l *link) finish() (Cost, error) {
	if l.in == nil {
		return Cost{}, nil
	}
	close(l.in)
	close(l.pending)
	<-l.done
	l.stop()
	<-l.ended
	l.kind.Same.Values += l.found.Values
	l.kind.Same.Bits += l.found.Bits
	l.kind.Same.Compared += l.found.Compared
	if l.first != nil {
		l.kind.Faults = append(l.kind.Faults, l.first)
	}
	if l.err != nil && !(errors.Is(l.err, context.Canceled) && l.missing != nil) {
		return l.cost, l.err
	}
	if l.missing == nil && l.early {
		l.missing = errors.New("it ended before its inputs did")
	}
	return l.cost, l.missing
}

// compare holds the results against the batches, value by value.
func (l *link) compare() {
	defer close(l.done)
	var got []int64
	for b := range l.pending {
		want := b.due()
		for at := 0; at < len(want) && l.missing == nil; {
			if len(got) == 0 {
				var ok bool
				if got, ok = <-l.out; !ok {
					l.missing = fmt.Errorf("results are missing from tick %d on", b.first+at/l.t.layout.Out)
				}
				continue
			}
			n := min(len(got), len(want)-at)
			l.differ(b, at, want[at:at+n], got)
			got, at = got[n:], at+n
		}
		l.free <- b
	}
	for more := range l.out {
		got = append(got, more...)
		if len(got) > l.t.layout.Out {
			break
		}
	}
	if len(got) > 0 && l.missing == nil {
		l.missing = errors.New("more results came back than there were ticks")
		l.stop() // it may be waiting to send still more
		for range l.out {
		}
	}
}

// differ notes the values of a piece that are not the same.
func (l *link) differ(b *batch, at int, want, got []int64) {
	l.found.Compared += len(want)
	for i, w := range want {
		if got[i] == w {
			continue
		}
		l.found.Values++
		l.found.Bits += bits.OnesCount64(uint64(w ^ got[i]))
		if l.first == nil {
			n := (at + i) / l.t.layout.Out
			l.first = l.t.differs(l.kind, b, n, (at+i)%l.t.layout.Out, got[i])
		}
	}
}
