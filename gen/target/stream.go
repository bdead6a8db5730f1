package target

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"time"

	"gainwright/model/trial"
)

// waitDelay is how long a process may take to end after it was told to.
const waitDelay = 5 * time.Second

// Run is one run of the program from its start, its records through pipes.
func (h *Host) Run(ctx context.Context, in <-chan []int64, out chan<- []int64) (trial.Cost, error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	cmd := exec.CommandContext(ctx, h.program)
	cmd.WaitDelay = waitDelay
	said := &limited{}
	cmd.Stderr = said
	stdin, err := cmd.StdinPipe()
	if err != nil {
		return trial.Cost{}, err
	}
	stdout, err := cmd.StdoutPipe()
	if err != nil {
		return trial.Cost{}, err
	}
	if err := cmd.Start(); err != nil {
		return trial.Cost{}, err
	}
	written := make(chan error, 1)
	go func() { written <- write(ctx, stdin, in, whole) }()
	received := read(ctx, stdout, out)
	if received != nil {
		cancel() // nobody takes the results: end the program
	}
	ended := cmd.Wait()
	cost := trial.Cost{CPU: cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()}
	outer := ctx.Err() // before this run itself ends it
	cancel()
	sent := <-written
	switch {
	case outer != nil && received == nil:
		return cost, outer
	case received != nil:
		return cost, received
	case ended != nil:
		return cost, fmt.Errorf("the program ended: %w%s", ended, said.text())
	case sent != nil && !errors.Is(sent, context.Canceled):
		return cost, fmt.Errorf("the program did not take its inputs: %w", sent)
	}
	return cost, nil
}

// whole appends numbers of 64 bits as they stand.
func whole(text []byte, records []int64) []byte {
	for _, v := range records {
		text = binary.NativeEndian.AppendUint64(text, uint64(v))
	}
	return text
}

// write sends records, which pack appends to a text, until in is closed, and closes the pipe.
func write(ctx context.Context, pipe io.WriteCloser, in <-chan []int64, pack func(text []byte, records []int64) []byte) error {
	defer pipe.Close()
	var text []byte
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case records, more := <-in:
			if !more {
				return nil
			}
			text = pack(text[:0], records)
			if _, err := pipe.Write(text); err != nil {
				return err
			}
		}
	}
}

// read hands on results until the pipe ends.
func read(ctx context.Context, pipe io.Reader, out chan<- []int64) error {
	text := make([]byte, 1<<16)
	kept := 0
	for {
		n, err := pipe.Read(text[kept:])
		n += kept
		values := make([]int64, n/8)
		for i := range values {
			values[i] = int64(binary.NativeEndian.Uint64(text[8*i:]))
		}
		kept = copy(text, text[8*len(values):n])
		if len(values) > 0 {
			select {
			case out <- values:
			case <-ctx.Done():
				return ctx.Err()
			}
		}
		if err != nil {
			if kept > 0 {
				return errors.New("the program's last value is torn")
			}
			return nil // of the program: Wait says why
		}
	}
}

// limited keeps the first few lines that a program says.
type limited struct{ b bytes.Buffer }

func (l *limited) Write(p []byte) (int, error) {
	if room := 4096 - l.b.Len(); room > 0 {
		l.b.Write(p[:min(room, len(p))])
	}
	return len(p), nil
}

func (l *limited) text() string {
	if l.b.Len() == 0 {
		return ""
	}
	return ":\n" + l.b.String()
}
