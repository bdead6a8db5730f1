package target

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"sync"
	"time"

	"gainwright/model/trial"
)

// patience is how long a simulator may stay without a result or an end.
const patience = 60 * time.Second

// process is a simulator that runs.
type process struct {
	cmd  *exec.Cmd
	said *limited
	// to and from carry records. opened, where there is one, is called when the first bytes have come: it gives what records go to from then on.
	to     io.WriteCloser
	from   io.ReadCloser
	opened func() (io.WriteCloser, error)
	// ended is called when the process has ended: it lets from end.
	ended func()
}

// Run is one run from the controller's start.
func (s *Simulated) Run(ctx context.Context, in <-chan []int64, out chan<- []int64) (trial.Cost, error) {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	p, err := s.part.start(ctx, s)
	if err != nil {
		return trial.Cost{}, err
	}
	defer p.from.Close()
	waited := make(chan error, 1)
	go func() {
		err := p.cmd.Wait()
		if p.ended != nil {
			p.ended()
		}
		waited <- err
	}()
	watch := time.AfterFunc(s.patience, func() { cancel(fmt.Errorf("no result for %v: the simulator was stopped", s.patience)) })
	defer watch.Stop()

	r := results{s: s, out: out, alive: func() { watch.Reset(s.patience) }, begun: make(chan struct{})}
	received := make(chan error, 1)
	go func() { received <- r.read(ctx, p.from) }()
	sent := make(chan error, 1)
	go func() { sent <- s.feed(ctx, p, in, r.begun) }()

	readErr := <-received
	if readErr != nil {
		cancel(readErr)
	}
	endErr := <-waited
	cause := context.Cause(ctx)
	cancel(nil)
	sentErr := <-sent
	cost := trial.Cost{CPU: p.cmd.ProcessState.UserTime() + p.cmd.ProcessState.SystemTime()}
	switch {
	case cause != nil && !errors.Is(cause, readErr):
		return cost, cause
	case endErr != nil:
		return cost, fmt.Errorf("the simulator ended: %w%s", endErr, p.said.text())
	case readErr != nil:
		return cost, readErr
	case sentErr != nil && !errors.Is(sentErr, context.Canceled):
		return cost, fmt.Errorf("the simulator did not take its inputs: %w", sentErr)
	}
	s.mu.Lock()
	s.measured.Stack = max(s.measured.Stack, r.stack)
	s.measured.Found = max(s.measured.Found, r.found)
	s.mu.Unlock()
	return cost, nil
}

// feed packs records for the part.
func (s *Simulated) feed(ctx context.Context, p *process, in <-chan []int64, begun <-chan struct{}) error {
	select {
	case <-begun:
	case <-ctx.Done():
		p.to.Close()
		return ctx.Err()
	}
	to := p.to
	if p.opened != nil {
		var err error
		if to, err = p.opened(); err != nil {
			return err
		}
	}
	stop := context.AfterFunc(ctx, func() { to.Close() })
	defer stop()
	return write(ctx, to, in, s.controller.pack)
}

// tail is the number of bytes behind the results.
const tail = 8

// results reads what a firmware sends: 4 bytes, what measuring costs; the result records, each with what it
// cost; 4 bytes, the worst tick found by a search; 4 bytes of stack.
type results struct {
	s     *Simulated
	out   chan<- []int64
	alive func()
	begun chan struct{}
	once  sync.Once
	base  uint32
	found int
	stack int
}

func (r *results) read(ctx context.Context, from io.Reader) error {
	_, size := r.s.controller.size()
	buffer := make([]byte, 1<<15)
	kept, begun := 0, false
	for {
		n, err := from.Read(buffer[kept:])
		text := buffer[:kept+n]
		if n > 0 {
			r.alive()
		}
		if !begun && len(text) >= 4 {
			r.base, text, begun = binary.LittleEndian.Uint32(text), text[4:], true
			r.once.Do(func() { close(r.begun) })
		}
		if begun {
			values, rest := r.unpack(text, size)
			if len(values) > 0 {
				select {
				case r.out <- values:
				case <-ctx.Done():
					return context.Cause(ctx)
				}
				r.alive()
			}
			text = rest
		}
		if err != nil {
			if begun && len(text) == tail {
				r.found, r.stack = int(binary.LittleEndian.Uint32(text)), int(binary.LittleEndian.Uint32(text[4:]))
				return nil
			}
			return errors.New("the simulator's results are torn")
		}
		kept = copy(buffer, bytes.Clone(text))
	}
}

// unpack turns whole records into numbers and notes their cost.
func (r *results) unpack(text []byte, size int) (values []int64, rest []byte) {
	s := r.s
	s.mu.Lock()
	defer s.mu.Unlock()
	for len(text) >= size+4+tail {
		at := 0
		for _, v := range s.controller.out {
			values = append(values, number(text[at:], v.typ))
			at += int(v.typ.Bits() / 8)
		}
		if len(s.controller.out) == 0 {
			values = append(values, 0)
		}
		s.note(s.part.cost(binary.LittleEndian.Uint32(text[size:]), r.base))
		text = text[size+4:]
	}
	return values, text
}
