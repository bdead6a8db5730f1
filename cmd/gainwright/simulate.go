package main

import (
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"gainwright/gen/disk"
	"gainwright/gen/summary"
	"gainwright/model"
	"gainwright/model/finding"
	"gainwright/model/loop"
	"gainwright/model/simulate"
)

func newSimulate() *cobra.Command {
	var format, out string
	var runs int
	var seed uint64
	var linearView, gains bool
	cmd := &cobra.Command{
		Use:   "simulate SPEC",
		Short: "Run the controller in real numbers and in integers against the same machine, side by side",
		Long: `Simulate runs a controller twice in a closed loop: the reference in float64 with the gains
as asked, and the integer program bit by bit as the C computes it. Each has its own copy of the
machine that the section plant describes; both get the same set-points, pushes, faults and
noise of the section scenario. It says how well each holds the machine, how far the two are
apart, and whether what the scenario asks for was held. A run that tests nothing, or whose loop is not stable as a
linear system, is not good; gainwright help measures says what each figure means.

With --runs it does so many times, with the seeds from --seed on; the numbers that the scenario
lists under vary are off by up to their tolerances, as the seed decides: evenly distributed, and with
every seed that 4 divides each at one of its ends. It says which tolerance mattered most. --runs 1
with the seed of a run repeats that run.

With --out it writes the trace of the run, or of the worst runs, as comma-separated values, and of
many runs a table of what each drew and what came of it.

With --linear it takes the linear view instead: poles and margins of the sampled closed loop with the gains
asked and with those stored, cut behind each PID and at each output, what more delay does, and how far
rounding can push the machine at most, beside what it did in runs of both loops on the linear plant. Of a
loop that is not stable it says with which gain it would be. Exit code 1: not stable.

With --gains it says which way to turn each live gain: settling, overshoot, swing, sensitivity peak and
effort with it at half, once and twice, in real numbers, and whether the loop is stable over the whole
tuning box. Exit code 1: not stable with the gains as they are. The pictures are in gainwright report.

Exit code 0: all held, by both. 1: a fall, or anything else that was not held. 2: wrong command line.`,
		Example: "  gainwright simulate cart.yaml\n  gainwright simulate cart.yaml --runs 200 --out cart_runs",
		Args:    one("a spec"),
		RunE: func(cmd *cobra.Command, args []string) error {
			p, err := newPaper(cmd.OutOrStdout()).formatted(format)
			switch {
			case err != nil:
				return err
			case cmd.Flags().Changed("runs") && (runs < 1 || runs > mostRuns):
				return wrong("--runs takes a number from 1 to %d, not %d", mostRuns, runs)
			case linearView && (cmd.Flags().Changed("runs") || cmd.Flags().Changed("out")):
				return wrong("--linear stands alone: it takes neither --runs nor --out")
			case gains && (linearView || cmd.Flags().Changed("runs") || cmd.Flags().Changed("out")):
				return wrong("--gains stands alone: it takes neither --linear nor --runs nor --out")
			}
			u, err := load(args[0])
			if err != nil {
				return err
			}
			newPaper(cmd.ErrOrStderr()).findings(u.Findings)
			if !u.OK() {
				return failure{findings, "a spec with errors cannot be simulated"}
			}
			if u.Scenario == nil {
				section := "scenario"
				if u.Plant == nil {
					section = "plant"
				}
				newPaper(cmd.ErrOrStderr()).findings(finding.List{{Pos: finding.Pos{File: u.File, Line: 1, Col: 1}, Severity: finding.Error, Rule: "missing-key", Key: section,
					Message: "a simulation needs the sections plant, what is controlled, and scenario, what happens to it", Remedy: section + ":, as in the starters (gainwright init)"}})
				return failure{code: findings}
			}
			if cmd.Flags().Changed("seed") {
				u.Scenario.Seed = seed
			}
			seed = u.Scenario.Seed
			s := simulator{summary.Simulation(u), u, p, cmd.ErrOrStderr(), out}
			switch {
			case linearView:
				return s.linear()
			case gains:
				return s.gains()
			case runs == 1:
				varied, _ := s.Varied(seed)
				return s.once(varied, seed)
			case runs > 1:
				return s.many(runs, seed)
			}
			return s.once(s.System, seed)
		},
	}
	cmd.Flags().IntVar(&runs, "runs", 0, "`number` of runs with other plants and other noise")
	cmd.Flags().Uint64Var(&seed, "seed", 1, "`number`; the same seed gives the same noise (default that of the scenario)")
	cmd.Flags().StringVar(&out, "out", "", "`folder` for traces")
	cmd.Flags().BoolVar(&linearView, "linear", false, "take the linear view: poles, margins and the closed-loop rounding bound")
	cmd.Flags().BoolVar(&gains, "gains", false, "say which way to turn each live gain, and whether the whole tuning box is stable")
	cmd.Flags().StringVar(&format, "format", "text", "`form`: text, or json for programs")
	return cmd
}

const mostRuns = 100_000

// simulator runs scenarios and prints what they showed.
type simulator struct {
	*simulate.System
	unit *model.Unit
	p    *paper
	side io.Writer // for progress
	out  string
}

// once runs one system once, as it is described or as a seed has varied it.
func (s simulator) once(system *simulate.System, seed uint64) error {
	var trace *simulate.Trace
	if s.out != "" {
		trace = &simulate.Trace{}
	}
	o := system.Run(seed, trace)
	if trace != nil {
		if err := disk.Put(s.out, map[string][]byte{s.Spec.Name + "_trace.csv": trace.CSV()}); err != nil {
			return failure{misuse, err.Error()}
		}
	}
	return s.p.show((&summary.Run{Unit: s.unit, System: s.System, Outcome: o}).Document())
}

// linear takes the linear view of the loop.
func (s simulator) linear() error {
	v, err := loop.New(summary.Loop(s.unit))
	if err != nil {
		return s.no("no-linear-view", "plant", err, s.otherwise("--linear"))
	}
	return s.p.show(summary.Linear(s.unit, v))
}

// gains says which way to turn each live gain.
func (s simulator) gains() error {
	t, err := summary.Turned(s.unit, nil)
	switch {
	case err == nil:
		return s.p.show(t.Document(s.unit))
	case len(s.unit.Asked.Gains) == 0:
		return s.no("no-gains-to-turn", "tuning", err, "a section tuning that names gains with their ranges, as in the starters")
	}
	return s.no("no-linear-view", "plant", err, s.otherwise("--gains"))
}

// otherwise says what to do where there is no linear view.
func (s simulator) otherwise(flag string) string {
	for _, sec := range s.unit.Asked.Sections {
		if sec.Clock.Every != 0 {
			return "simulate without " + flag + ": a run in the time domain counts ticks as the firmware does"
		}
	}
	return "shorter delays, or simulate without " + flag
}

// no says why there is nothing to show: what of the section plant, or of one that is missing, and what to write.
func (s simulator) no(rule, key string, why error, remedy string) error {
	at := s.unit.Spec.Plant.Pos
	if key != "plant" {
		at = finding.Pos{File: s.unit.File, Line: 1, Col: 1}
	}
	newPaper(s.side).findings(finding.List{{Pos: at, Severity: finding.Error, Rule: rule, Key: key, Message: why.Error(), Remedy: remedy}})
	return failure{code: findings}
}

// many runs a study and writes its worst runs down.
func (s simulator) many(runs int, seed uint64) error {
	done, end := countdown(s.side, runs)
	st := s.Study(runs, seed, done)
	end()
	d := summary.Study(s.unit, s.System, st)
	files := map[string][]byte{}
	for i := range st.Worst {
		w := &st.Worst[i]
		name := fmt.Sprintf("%s_seed_%d.csv", s.Spec.Name, w.Seed)
		if s.out == "" || files[name] != nil {
			continue
		}
		trace := &simulate.Trace{}
		varied, _ := s.Varied(w.Seed)
		varied.Run(w.Seed, trace)
		files[name] = trace.CSV()
	}
	if s.out != "" {
		var text strings.Builder
		if err := d.JSON(&text); err != nil {
			return err
		}
		files[s.Spec.Name+"_runs.json"] = []byte(text.String())
		files[s.Spec.Name+"_runs.csv"] = st.CSV()
		if err := disk.Put(s.out, files); err != nil {
			return failure{misuse, err.Error()}
		}
	}
	return s.p.show(d)
}

// countdown draws a bar of finished runs on a terminal; anywhere else it is silent.
func countdown(w io.Writer, runs int) (done func(int), end func()) {
	if !isTerminal(w) {
		return nil, func() {}
	}
	var lock sync.Mutex
	most, shown := 0, time.Time{}
	done = func(n int) {
		lock.Lock()
		defer lock.Unlock()
		most = max(most, n)
		if time.Since(shown) < 100*time.Millisecond {
			return
		}
		shown = time.Now()
		const width = 30
		full := width * most / runs
		fmt.Fprintf(w, "\r[%s%s] %d of %d runs ", strings.Repeat("#", full), strings.Repeat(".", width-full), most, runs)
	}
	return done, func() { fmt.Fprint(w, "\r\x1b[K") }
}
