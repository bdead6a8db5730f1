package trial

import (
	"context"
	"errors"
	"strings"
	"sync"
	"testing"
	"time"

	"gainwright/model/program"
)

// fake is a target made of the integer program, with what may be wrong about a target.
type fake struct {
	p     *program.Fixed
	spoil func(tick int, result []int64)
	end   int // tick after which it ends; 0: never
	err   error
	more  bool // it sends too much
	hang  bool
	mu    sync.Mutex
	runs  int
}

func (f *fake) Name() string { return "a fake" }

func (f *fake) Run(ctx context.Context, in <-chan []int64, out chan<- []int64) (Cost, error) {
	f.mu.Lock()
	f.runs++
	run := f.runs
	f.mu.Unlock()
	l := NewLayout(f.p)
	m := program.NewFixedMachine(f.p)
	coefs := make([]int64, len(f.p.Coefs))
	for i, c := range f.p.Coefs {
		coefs[i] = c.Setter.Apply(c.Setter.XStart)
	}
	var integrals []int
	for i, s := range f.p.States {
		if s.Integral {
			integrals = append(integrals, i)
		}
	}
	var held []int64
	tick := 0
	flush := func(least int) error {
		for len(held) > least {
			n := min(len(held), 1000) // not whole records
			select {
			case out <- append([]int64(nil), held[:n]...):
			case <-ctx.Done():
				return ctx.Err()
			}
			held = held[n:]
		}
		return nil
	}
	if f.hang {
		<-ctx.Done()
		return Cost{}, ctx.Err()
	}
	for records := range in {
		for ; len(records) > 0; records = records[l.In:] {
			latch(f.p, records[:l.In], coefs)
			startOver(m, records[:l.In], integrals)
			m.Tick(records[:l.In], coefs)
			var result []int64
			for _, o := range f.p.Outputs {
				result = append(result, m.Values[o.Value])
			}
			result = append(append(result, m.State...), coefs...)
			if f.spoil != nil && run == 2 {
				f.spoil(tick, result)
			}
			held = append(held, result...)
			if tick++; tick == f.end {
				if err := flush(0); err != nil {
					return Cost{}, err
				}
				return Cost{}, f.err
			}
		}
		if err := flush(4000 * l.Out); err != nil {
			return Cost{}, err
		}
	}
	if f.more {
		held = append(held, 1)
	}
	return Cost{CPU: time.Duration(tick) * time.Microsecond}, flush(0)
}

func TestTargetThatAgrees(t *testing.T) {
	u := unit(t, "cart_log")
	f := &fake{p: u.Integer}
	r := verify(t, u, Options{Ticks: 50_000, Target: f})
	same := 0
	for _, k := range r.Kinds {
		same += k.Same.Compared
	}
	if !r.OK() || same != 50_000*NewLayout(u.Integer).Out || f.runs != 18 {
		t.Errorf("%d values compared in %d runs", same, f.runs)
	}
	if got := r.Speeds[2].PerSecond(); got < 0.99e6 || got > 1.01e6 {
		t.Errorf("the target makes %g ticks a second", got)
	}
}

// TestFirstDifference spoils one bit of each value in turn, at a tick of the second run.
func TestFirstDifference(t *testing.T) {
	u := unit(t, "cart_log")
	p := u.Integer
	for value := range NewLayout(p).Out {
		f := &fake{p: p, spoil: func(tick int, result []int64) {
			if tick == 1777 || tick == 2100 {
				result[value] ^= 4
			}
		}}
		r := verify(t, u, Options{Ticks: 51_000, Target: f}) // 2125 ticks a restart
		k := r.Kinds[0]
		if r.OK() || k.Same.Values != 2 || k.Same.Bits != 2 || len(k.Faults) != 1 {
			t.Fatalf("value %d: %+v", value, k.Same)
		}
		got := k.Faults[0]
		if got.Rule != "bits" || got.Tick != 1777 || got.Restart != 1 || got.Kind != "directed" {
			t.Errorf("value %d: found at %s, restart %d, tick %d", value, got.Kind, got.Restart, got.Tick)
		}
		text := got.String()
		for _, part := range []string{"directed inputs, restart 1, tick 1777: ", "a fake gives", "accel_forward", "states before", "tilt_state", "drive_count_rounded", "effort_kp"} {
			if !strings.Contains(text, part) {
				t.Errorf("value %d: %q is not said in\n%s", value, part, text)
			}
		}
		if len(got.Values) != len(p.Ops) || len(got.Before) != len(p.States) || len(got.After) != len(p.States) || len(got.Coefs) != len(p.Coefs) {
			t.Errorf("value %d: not all values are there", value)
		}
	}
}

// The values of a report are those of its tick: they lead from one to the other.
func TestSnapshotIsOfItsTick(t *testing.T) {
	u := unit(t, "cart_log")
	var want []int64
	f := &fake{p: u.Integer, spoil: func(tick int, result []int64) {
		if tick == 1777 {
			want = append(want, result...)
			result[0]++
		}
	}}
	got := verify(t, u, Options{Ticks: 60_000, Target: f}).Kinds[0].Faults[0]
	for i := range u.Integer.States {
		if got.After[i].Count != want[len(u.Integer.Outputs)+i] {
			t.Errorf("state %s is %d after the tick, the target had %d", got.After[i].Name, got.After[i].Count, want[len(u.Integer.Outputs)+i])
		}
	}
	m := program.NewFixedMachine(u.Integer)
	for i, s := range got.Before {
		m.State[i] = s.Count
	}
	var in, coefs []int64
	for _, v := range got.Inputs {
		in = append(in, v.Count)
	}
	for _, c := range got.Coefs {
		coefs = append(coefs, c.Count)
	}
	m.Tick(in, coefs)
	for i, v := range got.Values {
		if m.Values[i] != v.Count {
			t.Errorf("%s is %d, from the states before it follows %d", v.Name, v.Count, m.Values[i])
		}
	}
}

func TestTargetsThatFail(t *testing.T) {
	u := unit(t, "incubator")
	broken := errors.New("it broke")
	for want, f := range map[string]*fake{
		"results are missing from tick 700 on":            {end: 700},
		"it broke":                                        {end: 700, err: broken},
		"more results came back than there were ticks":    {more: true},
		context.DeadlineExceeded.Error():                  {hang: true},
		"a fake, directed inputs: results are missing fr": {end: 1},
	} {
		f.p = u.Integer
		ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
		if f.hang {
			cancel()
			ctx, cancel = context.WithTimeout(t.Context(), 50*time.Millisecond)
		}
		_, err := Verify(ctx, u, Options{Ticks: 400_000, Target: f})
		cancel()
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q is expected, the error is %v", want, err)
		}
	}
}
