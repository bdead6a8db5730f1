package trial

import (
	"context"
	"time"

	"gainwright/model/program"
)

// Target is something that runs the emitted code: the host, or a simulated part.
type Target interface {
	// Name says what runs, such as "C on this host".
	Name() string
	// Run starts the controller anew, steps it once for each input record that comes through in, and
	// sends the result records through out, in order and in pieces of any length. It returns when in is
	// closed and all results are sent, when it fails, or when ctx ends. It may hold back the results of
	// 4096 ticks, no more, until in is closed. It does not close out and does not change records.
	Run(ctx context.Context, in <-chan []int64, out chan<- []int64) (Cost, error)
}

// Cost is what a run took.
type Cost struct {
	CPU time.Duration // processor time of this machine, streaming of the records included
}

// Layout is the form of the records that a target is given and gives back: 64-bit numbers, counts.
type Layout struct {
	// In: one value an input, then two a gain: a flag, and the setting that is applied before the step where
	// the flag is not 0. Last, whether to start over before the step: 0 is no, StartOver and KeepIntegrals are how.
	In int
	// Out: the outputs, the states and the active coefficients after the step. Where there is nothing to hand
	// out, a 0.
	Out int
}

// How a record has the controller started over, live gains kept: all states, or all but the integral terms.
const (
	StartOver     = 1
	KeepIntegrals = 2
)

// NewLayout is the layout of an integer program's records.
func NewLayout(p *program.Fixed) Layout {
	return Layout{In: len(p.Inputs) + 2*len(p.Gains) + 1, Out: max(1, len(p.Outputs)+len(p.States)+len(p.Coefs))}
}
