package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"

	"github.com/spf13/cobra"

	"gainwright/gen/summary"
	"gainwright/gen/target"
	"gainwright/model"
	"gainwright/model/trial"
)

func newVerify() *cobra.Command {
	var ticks int
	var seed uint64
	var log, on, format string
	var set []string
	cmd := &cobra.Command{
		Use:   "verify SPEC",
		Short: "Run the real program, the integer program and the compiled C on the same ticks",
		Long: `Verify runs a controller three times over the same inputs: in real numbers, in integers, and
as the C that generate writes, compiled for this machine. The inputs are directed at limits and
switches, random, and anything that the raw types can hold; live gains change on the way.
Every output and state must be the same bit for bit in the two integer forms, every value
inside its certified range, and every signal within its bound of the real numbers. How far signals
were from the controller as asked, with the constants of the spec, it says besides.

With --on it compiles the C for simulated parts (an ATmega328P, an ATmega1284P where that is too
small, a Cortex-M0, a Cortex-M4 without its floating-point unit, an RV32IMC), runs it there,
and says which part it was and what a tick takes: worst, mean and, on AVR, proven; flash, RAM and stack.

With --log it runs a recording of raw counts instead: comma-separated values, one row a tick,
columns matched to inputs by name. It also says whether axes and signs of the spec agree
with the recording.

Each of the three prints JSON with --format json: the figures of the text, under names that
stay; what is not there is null or left out.

Exit code 0: all as proven. 1: anything else. 2: wrong command line.`,
		Example: "  gainwright verify cart.yaml\n  gainwright verify cart.yaml --log drive.csv --set armed=1",
		Args:    one("a spec"),
		RunE: func(cmd *cobra.Command, args []string) error {
			p, err := newPaper(cmd.OutOrStdout()).formatted(format)
			switch {
			case err != nil:
				return err
			case ticks < 1:
				return wrong("--ticks takes a number above 0, not %d", ticks)
			case log != "" && (cmd.Flags().Changed("ticks") || cmd.Flags().Changed("seed")):
				return wrong("--log runs the whole log as it is: --ticks and --seed have no meaning with it")
			case log != "" && on != "":
				return wrong("--log runs on this machine: --on has no meaning with it")
			case log == "" && len(set) > 0:
				return wrong("--set gives an input a value where a log has no column for it: it goes with --log")
			}
			u, err := load(args[0])
			if err != nil {
				return err
			}
			newPaper(cmd.ErrOrStderr()).findings(u.Findings)
			if !u.OK() {
				return failure{findings, "a spec with errors cannot be verified"}
			}
			ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
			defer stop()
			v := verifier{ctx, p, cmd.ErrOrStderr()}
			switch {
			case log != "":
				return v.log(u, log, set)
			case on != "":
				list, err := parts(on)
				if err != nil {
					return err
				}
				if !cmd.Flags().Changed("ticks") {
					ticks = partTicks
				}
				return v.on(u, list, ticks, seed)
			}
			return v.ticks(u, ticks, seed)
		},
	}
	cmd.Flags().IntVar(&ticks, "ticks", trial.DefaultTicks, "`number` of ticks to run")
	cmd.Flags().Uint64Var(&seed, "seed", 1, "`number`; the same seed gives the same inputs")
	cmd.Flags().StringVar(&log, "log", "", "`file` with a recording of raw counts to run instead")
	cmd.Flags().StringVar(&on, "on", "", "`parts` to simulate instead of this machine: "+strings.Join(target.Parts(), ","))
	cmd.Flags().StringArrayVar(&set, "set", nil, "`name=value` of an input that the log has no column for")
	cmd.Flags().StringVar(&format, "format", "text", "`form`: text, or json for programs")
	return cmd
}

// verifier runs trials and prints what they found.
type verifier struct {
	ctx  context.Context
	p    *paper
	side io.Writer // for progress
}

func (v verifier) ticks(u *model.Unit, ticks int, seed uint64) error {
	v.p.line("%s: %s, seed %d", u.BaseName(), u.Spec.Name, seed)
	return v.run(u, ticks, func(o trial.Options) (*trial.Result, error) {
		o.Ticks, o.Seed = ticks, seed
		return trial.Verify(v.ctx, u, o)
	})
}

func (v verifier) log(u *model.Unit, path string, set []string) error {
	file, err := open(path)
	if err != nil {
		return err
	}
	defer file.Close()
	log, found := trial.ReadLog(path, file, u.Integer, set)
	beside := v.p
	if v.p.json {
		beside = newPaper(v.side)
	}
	beside.findings(found)
	if log == nil {
		return failure{findings, "the log cannot be run"}
	}
	v.p.line("%s: %s, on the %d rows of %s", u.BaseName(), u.Spec.Name, log.Rows, path)
	if log.Outside > 0 {
		v.p.line("In %d rows an input lies outside the range that the spec declares.", log.Outside)
	}
	return v.run(u, log.Rows, func(o trial.Options) (*trial.Result, error) { return trial.VerifyLog(v.ctx, u, log, o) })
}

func (v verifier) run(u *model.Unit, ticks int, run func(trial.Options) (*trial.Result, error)) error {
	host, err := target.NewHost(v.ctx, u, target.Options{})
	if err != nil {
		return failure{findings, err.Error()}
	}
	defer host.Close()
	show := newProgress(v.side, ticks)
	r, err := run(trial.Options{Target: host})
	show.end()
	if err != nil {
		return failure{findings, fmt.Sprintf("the run came to no end: %v", err)}
	}
	err = v.p.show(summary.Trial(u, r))
	if v.p.terminal {
		for _, s := range r.Speeds {
			v.p.line("%.0f ticks a second: %s", s.PerSecond(), s.Party)
		}
	}
	return err
}
