package main

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"os"
	"os/signal"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"gainwright/gen"
	"gainwright/gen/caution"
	"gainwright/gen/disk"
	"gainwright/gen/summary"
	"gainwright/model"
	"gainwright/templates"
)

// tryTicks is fewer than verify runs by itself: try is to end within a minute, with the tool's own build.
const tryTicks = 200_000

func newTry() *cobra.Command {
	var dir string
	cmd := &cobra.Command{
		Use:   "try --out DIR",
		Short: "The whole job on an example, in less than a minute",
		Long: `Try takes the starter cart, a two-wheeled cart that balances, through the whole job: it writes
the spec, checks it, generates the code, and verifies it on made-up inputs and on three
seconds of a recorded log.`,
		Example: "  gainwright try --out cart",
		Args:    none,
		RunE: func(cmd *cobra.Command, args []string) error {
			if dir == "" {
				return wrong("try needs --out DIR, as in:\n%s", cmd.Example)
			}
			if err := folder(dir); err != nil {
				return err
			}
			ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
			defer stop()
			return try(verifier{ctx, newPaper(cmd.OutOrStdout()), cmd.ErrOrStderr()}, dir)
		},
	}
	cmd.Flags().StringVar(&dir, "out", "", "`folder` for the example")
	return cmd
}

func try(v verifier, dir string) error {
	p := v.p
	specs := map[string][]byte{"cart.yaml": templates.Starter("cart")}
	maps.Copy(specs, templates.RecordedLog())
	if err := putNew(dir, specs); err != nil {
		return err
	}
	spec, log := filepath.Join(dir, "cart.yaml"), filepath.Join(dir, "cart_log.yaml")

	p.heading("1. The spec: a tuned controller, %s", spec)
	controller, _, more := bytes.Cut(specs["cart.yaml"], []byte("\n\n# "))
	p.line("\n%s", bytes.TrimSpace(controller))
	if more {
		p.line("... and a plant to simulate it with: gainwright simulate %s", spec)
	}

	p.heading("2. gainwright check %s", spec)
	u := model.Compile(spec, specs["cart.yaml"])
	p.Print(summary.Of(u).Brief()...)
	if !u.OK() {
		return failure{code: findings}
	}

	p.heading("3. gainwright generate %s --out %s", spec, dir)
	p.line("")
	if err := generate(p, u, dir, false); err != nil {
		return err
	}

	p.heading("4. gainwright verify %s --ticks %d", spec, tryTicks)
	p.line("")
	if err := v.ticks(u, tryTicks, 1); err != nil {
		return err
	}

	recording := filepath.Join(dir, "cart_log.csv")
	p.heading("5. gainwright verify %s --log %s --set armed=1 --set travel=0", log, recording)
	p.line("")
	if err := v.log(model.Compile(log, specs["cart_log.yaml"]), recording, []string{"armed=1", "travel=0"}); err != nil {
		return err
	}

	p.heading("What next")
	p.line(`
  Read %[1]s: the controller in C, each value with its range and error.
  Run the tests of the Go model beside it: (cd %[2]s && go test ./...)
  Change a gain or a range in %[3]s, then check and generate again.
  Start a spec of your own: gainwright init NAME
  How a spec is written: gainwright help spec, and gainwright help pid for one kind of step
  On the board: run the self-test first, %[4]s.
  Then begin with the firmware %[5]s: it
  has the watchdog, the run switch, and safe outputs while the sensor is silent or a tick is late.
  In a loop of your own, which has none of them, call cart_init once and cart_step 200 times a second.
`,
		filepath.Join(dir, "cart.h"), dir, spec, filepath.Join(dir, gen.Host, "cart_board.c"), filepath.Join(dir, gen.Host, "cart_loop_example.c"))
	p.text(strings.Join(append(caution.All(), caution.Numbers), " "))
	return nil
}

// putNew writes files that are not there yet, and leaves those alone that are there as wanted. One that
// differs stops it all.
func putNew(dir string, files map[string][]byte) error {
	missing := map[string][]byte{}
	for name, content := range files {
		path := filepath.Join(dir, name)
		have, err := os.ReadFile(path)
		switch {
		case os.IsNotExist(err):
			missing[name] = content
		case err != nil:
			return failure{findings, err.Error()}
		case !bytes.Equal(have, content):
			return failure{findings, fmt.Sprintf("%s is there already and was edited: it is left as it is, so give try another folder", path)}
		}
	}
	if err := disk.Put(dir, missing); err != nil {
		return failure{findings, err.Error()}
	}
	return nil
}
