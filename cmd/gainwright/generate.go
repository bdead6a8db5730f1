package main

import (
	"errors"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"gainwright/gen"
	"gainwright/gen/disk"
	"gainwright/gen/summary"
	"gainwright/model"
)

func newGenerate() *cobra.Command {
	var dir string
	var check, force, acsl bool
	cmd := &cobra.Command{
		Use:   "generate SPEC --out DIR",
		Short: "Write the C header, the Go package and their tests",
		Long: `Generate writes the C header into DIR, and into DIR/host all that is not for the firmware:
self-test vectors, an example of a loop, a host program, and a Go package with the same
controller in real numbers and in integers, whose tests hold all of them together. The
folder of a sketch can be DIR. (DIR/go.mod is for go test alone.) A builder that enters sub-folders
too finds the C files of DIR/host: give it the header of DIR only. It does not overwrite a file that was edited by hand.

With --check it writes nothing and names each file that is missing, stale (not made from
this spec by this version), edited by hand, or orphan (no longer made).

With --acsl the header carries its contracts and ranges as comments, and host/NAME_proof.c
says how Frama-C, which knows nothing of this tool, proves them. The code is the same.

Exit code 0: written, or with --check all as it would be. 1: errors in the spec, edited
files, or with --check any difference. 2: wrong command line.`,
		Example: "  gainwright generate cart.yaml --out firmware/cart",
		Args:    one("a spec"),
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case dir == "":
				return wrong("generate needs --out DIR, as in:\n%s", cmd.Example)
			case check && force:
				return wrong("--check writes nothing, so --force has no meaning with it")
			}
			if err := folder(dir); err != nil {
				return err
			}
			u, err := load(args[0])
			if err != nil {
				return err
			}
			newPaper(cmd.ErrOrStderr()).findings(u.Findings)
			if !u.OK() {
				return failure{findings, "nothing is generated from a spec with errors"}
			}
			files, err := made(u, acsl)
			if err != nil {
				return err
			}
			p := newPaper(cmd.OutOrStdout())
			if check {
				return compare(p, u, dir, files)
			}
			if err := write(p, u, dir, files, force); err != nil {
				return err
			}
			p.Print(summary.Cautions(u)...)
			return nil
		},
	}
	cmd.Flags().StringVar(&dir, "out", "", "`folder` for the files; one for each controller")
	cmd.Flags().BoolVar(&check, "check", false, "write nothing, compare only")
	cmd.Flags().BoolVar(&force, "force", false, "overwrite files that were edited by hand")
	cmd.Flags().BoolVar(&acsl, "acsl", false, "write contracts for Frama-C into the header, and a driver for it")
	return cmd
}

// made is what is to stand in the folder.
func made(u *model.Unit, acsl bool) (map[string][]byte, error) {
	if !acsl {
		return gen.Generate(u)
	}
	files, err := gen.GenerateACSL(u)
	if err != nil {
		return nil, failure{findings, u.BaseName() + ": " + err.Error()}
	}
	return files, nil
}

func compare(p *paper, u *model.Unit, dir string, files map[string][]byte) error {
	differences, err := disk.Compare(dir, files)
	if err != nil {
		return failure{findings, err.Error()}
	}
	for _, d := range differences {
		p.line("%s", d)
	}
	if before, _ := disk.Record(dir); before != nil {
		if err := settersStay(u, before, files); err != nil {
			return err
		}
	}
	if len(differences) > 0 {
		return failure{findings, "the files in " + dir + " are not those of " + u.BaseName() + "\n  to write them: gainwright generate " + u.File + " --out " + dir}
	}
	p.line("All %d files in %s are as generated.", len(files), dir)
	return nil
}

func generate(p *paper, u *model.Unit, dir string, force bool) error {
	files, err := made(u, false)
	if err != nil {
		return err
	}
	return write(p, u, dir, files, force)
}

func write(p *paper, u *model.Unit, dir string, files map[string][]byte, force bool) error {
	before, unread := disk.Record(dir) // what cannot be read is reported by Write, unless that is forced
	if err := settersStay(u, before, files); err != nil {
		return err
	}
	done, err := disk.Write(dir, files, force)
	var refused disk.Refused
	switch {
	case errors.As(err, &refused):
		return failure{findings, err.Error() + "\n  keep them elsewhere, or overwrite them with --force"}
	case err != nil:
		return failure{findings, err.Error()}
	}
	if len(done.Written) == 0 {
		p.line("All %d files in %s are as generated already.", len(files), dir)
	} else {
		p.line("Wrote %d of %d files to %s:", len(done.Written), len(files), dir)
		p.text(listed(done.Written))
	}
	if len(done.Removed) > 0 {
		p.line("Removed what an earlier version wrote beside the header; all but the header is in %s now:", filepath.Join(dir, gen.Host))
		p.text(strings.Join(done.Removed, ", "))
	}
	for _, name := range done.Kept {
		p.line("Edited by hand, so left where it is, and no longer used: %s", name)
	}
	for _, name := range done.Orphans {
		p.line("No longer made, delete it: %s", name)
	}
	if unread != nil {
		p.line("Not known, since the record there was not one: whether one count of a setter is what it was (%v).", unread)
	}
	if before != nil && len(done.Written) > 0 {
		return printChanges(p, before, files)
	}
	return nil
}

// listed names files, those of the folder for the host behind the others.
func listed(names []string) string {
	var top, host []string
	for _, name := range names {
		if base, inside := strings.CutPrefix(name, gen.Host+"/"); inside {
			host = append(host, base)
		} else {
			top = append(top, name)
		}
	}
	text := strings.Join(top, ", ")
	if len(host) == 0 {
		return text
	}
	if text != "" {
		text += "; "
	}
	return text + "in " + gen.Host + ": " + strings.Join(host, ", ")
}

// printChanges says which formats changed against the files that stood there.
func printChanges(p *paper, before *gen.Record, files map[string][]byte) error {
	after, err := gen.ReadRecord(files[gen.RecordName])
	if err != nil {
		return err
	}
	formats := gen.FormatChanges(before, after)
	if len(formats) == 0 {
		p.line("Formats unchanged.")
	} else {
		p.line("Formats changed:")
	}
	for _, c := range formats {
		p.line("  %s", c)
	}
	for _, c := range gen.CountChanges(before, after) {
		p.line("As the spec asks, the %s. Look through the firmware that calls it.", c)
	}
	if ranges := gen.RangeChanges(before, after); len(ranges) > 0 {
		p.line("Ranges changed:")
		for _, c := range ranges {
			p.line("  %s", c)
		}
	}
	return nil
}
