package main

import (
	"github.com/spf13/cobra"

	"gainwright/gen/summary"
)

func newCheck() *cobra.Command {
	var format string
	var all, witness bool
	cmd := &cobra.Command{
		Use:   "check SPEC",
		Short: "Say what is wrong with a spec, or what its integer code can do",
		Long: `Check reads a spec and says all that is wrong with it. Where nothing is, it prints the
format of every value, what each number became, and how far rounding can lead away from
real numbers, and where it is proven, how far all of it is from the controller as asked.

Exit code 0: good, maybe with warnings. 1: errors. 2: wrong command line.`,
		Example: "  gainwright check cart.yaml",
		Args:    one("a spec"),
		RunE: func(cmd *cobra.Command, args []string) error {
			p, err := newPaper(cmd.OutOrStdout()).formatted(format)
			if err != nil {
				return err
			}
			u, err := load(args[0])
			if err != nil {
				return err
			}
			s := summary.Of(u)
			if witness && u.OK() {
				s.Witnesses = summary.Witnesses(u)
			}
			p.Minor = all
			return p.show(s.Document())
		},
	}
	cmd.Flags().StringVar(&format, "format", "text", "`form`: text, or json for programs")
	cmd.Flags().BoolVar(&all, "all", false, "list also the constants that are stored exactly")
	cmd.Flags().BoolVar(&witness, "witness", false, "search for inputs that come close to each bound, and say how close")
	return cmd
}
