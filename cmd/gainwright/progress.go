package main

import (
	"fmt"
	"io"
	"time"
)

// progress says on a terminal how long a run has been going on; anywhere else it is silent.
type progress struct{ stop, done chan struct{} }

func newProgress(w io.Writer, ticks int) *progress {
	p := &progress{make(chan struct{}), make(chan struct{})}
	if !isTerminal(w) {
		close(p.done)
		return p
	}
	go func() {
		defer close(p.done)
		start := time.Now()
		for tick := time.NewTicker(200 * time.Millisecond); ; {
			select {
			case <-p.stop:
				tick.Stop()
				fmt.Fprint(w, "\r\x1b[K")
				return
			case <-tick.C:
				fmt.Fprintf(w, "\rRunning %d ticks, %.0f s ", ticks, time.Since(start).Seconds())
			}
		}
	}()
	return p
}

func (p *progress) end() {
	close(p.stop)
	<-p.done
}
