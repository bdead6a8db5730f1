package main

import (
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"gainwright/gen/disk"
	"gainwright/gen/document"
	"gainwright/gen/report"
	"gainwright/gen/summary"
)

func newReport() *cobra.Command {
	var out string
	var witness bool
	var over []string
	cmd := &cobra.Command{
		Use:   "report SPEC --out FILE.html",
		Short: "Write all that is known of a controller on one page to look at",
		Long: `Report writes one page that needs nothing else: no network, no script. It opens from a file
in any browser, prints, and can be read on a telephone. The verdict comes first, then cautions,
the format and headroom of every value, what each constant became, how far rounding can lead,
what a tick costs and, where the spec describes a plant and a scenario, the simulated run of
both loops with their difference, the loop as a linear system: margins, poles and how far
rounding can push the machine, and which way to turn each live gain: the scenario with it at half,
once and twice, and the sensitivity peak over two of them (--over names which).

Exit code 0: good, maybe with warnings. 1: errors in the spec, a scenario that was not held, or
a loop that is not stable; the page says which. 2: wrong command line.`,
		Example: "  gainwright report cart.yaml --out cart.html\n  gainwright report cart.yaml --out cart.html --over effort.kp,effort.kd",
		Args:    one("a spec"),
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case out == "":
				return wrong("report needs --out FILE.html, as in:\n%s", cmd.Example)
			case !strings.HasSuffix(out, ".html"):
				return wrong("--out takes a file that ends in .html, not %q", out)
			case sameFile(args[0], out):
				return wrong("--out names the spec itself")
			case len(over) != 0 && len(over) != 2:
				return wrong("--over takes two live gains, as in --over effort.kp,effort.kd")
			}
			u, err := load(args[0])
			if err != nil {
				return err
			}
			in, err := report.Of(u, over)
			switch {
			case err != nil && over != nil:
				return wrong("--over: %v", err)
			case err != nil:
				return failure{findings, err.Error()}
			case over != nil && u.OK() && in.Turning == nil:
				return wrong("--over needs a spec with plant, scenario and live gains")
			}
			if witness && u.OK() {
				in.Summary.Witnesses = summary.Witnesses(u)
			}
			d := in.Document()
			page, err := d.Page()
			if err != nil {
				return failure{findings, err.Error()}
			}
			if err := disk.Put(filepath.Dir(out), map[string][]byte{filepath.Base(out): page}); err != nil {
				return failure{findings, err.Error()}
			}
			newPaper(cmd.ErrOrStderr()).findings(in.Findings())
			p := newPaper(cmd.OutOrStdout())
			p.line("Wrote %s.", out)
			for _, sentence := range in.Verdict() {
				p.Print(sentence)
			}
			if d.Verdict == document.Bad {
				return failure{code: findings}
			}
			return nil
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "`file` for the page")
	cmd.Flags().StringSliceVar(&over, "over", nil, "two live `gains`, for the picture over two of them (default the first two)")
	cmd.Flags().BoolVar(&witness, "witness", false, "search for inputs that come close to each bound, and show how close")
	return cmd
}

func sameFile(a, b string) bool {
	x, errX := os.Stat(a)
	y, errY := os.Stat(b)
	return errX == nil && errY == nil && os.SameFile(x, y)
}
