// Package faults seeds mistakes that a person could have made into this tool, one at a time, and asks whether its tests
// notice: a test that notices nothing proves nothing.
//
// The tables are the YAML files of this folder, one for each part of the tool. A fault replaces a text of one file
// by another. The text must occur exactly once, so that a table cannot go stale in silence, and what comes out must
// build: a fault that does not build is a wrong row, not a fault that was caught.
package faults

import (
	"bytes"
	"context"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"gopkg.in/yaml.v3"
)

// Fault is one row of a table.
type Fault struct {
	Area    string `yaml:"-"` // name of its table
	Name    string
	File    string   // that is changed, from the root of the module
	Old     string   // exact text
	New     string   // what takes its place
	Mistake string   // what a person would have got wrong
	Tests   []string // packages whose tests should notice
	Run     string   // those of their tests that are enough, as a pattern; empty: all
	Quick   bool     // cheap enough for every run of the tests
}

//go:embed *.yaml
var tables embed.FS

// All returns the faults of every table.
func All() ([]Fault, error) {
	names, err := fs.Glob(tables, "*.yaml")
	if err != nil {
		return nil, err
	}
	var all []Fault
	for _, name := range names {
		text, err := tables.ReadFile(name)
		if err != nil {
			return nil, err
		}
		var rows []Fault
		d := yaml.NewDecoder(bytes.NewReader(text))
		d.KnownFields(true)
		if err := d.Decode(&rows); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		for i := range rows {
			rows[i].Area = strings.TrimSuffix(name, ".yaml")
		}
		all = append(all, rows...)
	}
	return all, nil
}

// Applied is the file with the fault in it. root is the folder of the module.
func (f Fault) Applied(root string) ([]byte, error) {
	text, err := os.ReadFile(filepath.Join(root, f.File))
	if err != nil {
		return nil, err
	}
	if n := strings.Count(string(text), f.Old); n != 1 {
		return nil, fmt.Errorf("the old text occurs %d times in %s, once is expected: the code has changed, mend the row", n, f.File)
	}
	if f.Old == f.New {
		return nil, errors.New("the new text is the old one")
	}
	return []byte(strings.Replace(string(text), f.Old, f.New, 1)), nil
}

// Outcome says what became of a fault.
type Outcome string

// Outcomes.
const (
	Caught Outcome = "caught" // a test fails
	Slow   Outcome = "slow"   // the tests do not come to an end
	Missed Outcome = "missed" // every test passes
	Wrong  Outcome = "wrong"  // it does not build, or no test runs
)

// Result is an outcome with its reason.
type Result struct {
	Outcome Outcome
	By      string // first test that failed
	Output  string
	Took    time.Duration
}

var (
	unbuilt = regexp.MustCompile(`(?m)^FAIL\s+gainwright/\S+ \[(build|setup) failed\]`)
	failed  = regexp.MustCompile(`(?m)^\s*--- FAIL: (\S+)`)
	empty   = regexp.MustCompile(`(?m)^ok\s+\S+\s+\S+ \[no tests to run\]|^\?\s`)
)

// Try runs the tests that should notice a fault, with the fault in the place of the file's text. Nothing is
// written into the module: the Go tool is told to read another file instead.
func Try(ctx context.Context, root string, f Fault) (Result, error) {
	text, err := f.Applied(root)
	if err != nil {
		return Result{}, err
	}
	dir, err := os.MkdirTemp("", "gainwright-fault-")
	if err != nil {
		return Result{}, err
	}
	defer os.RemoveAll(dir)
	with := filepath.Join(dir, filepath.Base(f.File))
	overlay, err := json.Marshal(map[string]any{"Replace": map[string]string{filepath.Join(root, f.File): with}})
	if err != nil {
		return Result{}, err
	}
	list := filepath.Join(dir, "overlay.json")
	if err := errors.Join(os.WriteFile(with, text, 0o644), os.WriteFile(list, overlay, 0o644)); err != nil {
		return Result{}, err
	}
	return test(ctx, root, f, "-count=1", "-failfast", "-overlay", list)
}

// Sound runs the same tests without the fault: they must pass, or what they say of the fault means nothing.
func Sound(ctx context.Context, root string, f Fault) (Result, error) { return test(ctx, root, f) }

func test(ctx context.Context, root string, f Fault, flags ...string) (Result, error) {
	args := append([]string{"test", "-vet=off", "-timeout", "150s"}, flags...)
	if f.Run != "" {
		args = append(args, "-run", f.Run)
	}
	start := time.Now()
	cmd := exec.CommandContext(ctx, "go", append(args, f.Tests...)...)
	cmd.Dir, cmd.WaitDelay = root, time.Second
	cmd.Env = append(os.Environ(), "GAINWRIGHT_TESTS=", "GAINWRIGHT_FAULT=1") // in their short form
	out, err := cmd.CombinedOutput()
	r := Result{Output: string(out), Took: time.Since(start).Round(100 * time.Millisecond)}
	var exit *exec.ExitError
	switch first := failed.FindStringSubmatch(r.Output); {
	case ctx.Err() != nil:
		return r, ctx.Err()
	case err != nil && !errors.As(err, &exit):
		return r, err
	case unbuilt.MatchString(r.Output):
		r.Outcome = Wrong
	case err == nil && len(empty.FindAllString(r.Output, -1)) == len(f.Tests):
		r.Outcome = Wrong
	case err == nil:
		r.Outcome = Missed
	case strings.Contains(r.Output, "panic: test timed out"):
		r.Outcome = Slow
	default:
		r.Outcome, r.By = Caught, "a panic"
		if first != nil {
			r.By = first[1]
		}
	}
	return r, nil
}
