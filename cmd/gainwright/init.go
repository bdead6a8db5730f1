package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"gainwright/gen/disk"
	"gainwright/gen/summary"
	"gainwright/model"
	"gainwright/templates"
)

func newInit() *cobra.Command {
	var from string
	cmd := &cobra.Command{
		Use:   "init NAME",
		Short: "Write a spec to start from",
		Long: `Init writes NAME.yaml, a working spec for a controller of that name, made from a starter:

` + starterList() + `
It does not overwrite a file.`,
		Example: "  gainwright init incubator\n  gainwright init seedling_oven --from incubator",
		Args:    one("a name for the controller"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if from == "" {
				if from = "cart"; slices.Contains(templates.Starters(), args[0]) {
					from = args[0]
				}
			}
			text, err := starter(from, args[0])
			if err != nil {
				return err
			}
			path := args[0] + ".yaml"
			if err := refuseExisting(path); err != nil {
				return err
			}
			if err := disk.Put(".", map[string][]byte{path: text}); err != nil {
				return failure{findings, err.Error()}
			}
			p := newPaper(cmd.OutOrStdout())
			if from != args[0] {
				p.line("Wrote %s, from the starter %s: %s", path, from, templates.About(from))
				if !cmd.Flags().Changed("from") {
					p.line("Another is taken with --from: %s.", strings.Join(templates.Starters(), ", "))
				}
				p.line("Next: gainwright check %s", path)
			} else {
				p.line("Wrote %s. Next: gainwright check %s", path, path)
			}
			p.Print(summary.Cautions(model.Compile(path, text))...)
			return nil
		},
	}
	cmd.Flags().StringVar(&from, "from", "", "`starter`: "+strings.Join(templates.Starters(), ", ")+" (default that of the name, else cart)")
	return cmd
}

func starterList() string {
	var b strings.Builder
	for _, name := range templates.Starters() {
		fmt.Fprintf(&b, "  %-10s %s\n", name, templates.About(name))
	}
	return b.String()
}

var controllerLine = regexp.MustCompile(`(?m)^controller: .*$`)

// starter is the text of a starter with the controller renamed.
func starter(from, name string) ([]byte, error) {
	if !slices.Contains(templates.Starters(), from) {
		return nil, wrong("%q is no starter%s", from, meant(from, templates.Starters(), "the starters are "+strings.Join(templates.Starters(), ", ")))
	}
	text := controllerLine.ReplaceAllLiteral(templates.Starter(from), []byte(fmt.Sprintf("controller: %q", name)))
	u := model.Compile(name, text)
	for _, f := range u.Findings {
		if f.Key == "controller" {
			return nil, wrong("%s; write %s", f.Message, f.Remedy)
		}
	}
	return controllerLine.ReplaceAllLiteral(text, []byte("controller: "+name)), nil
}

func refuseExisting(path string) error {
	_, err := os.Lstat(path)
	switch {
	case err == nil:
		return failure{findings, path + " is there already and is left as it is"}
	case !errors.Is(err, fs.ErrNotExist):
		return failure{findings, err.Error()}
	}
	return nil
}
