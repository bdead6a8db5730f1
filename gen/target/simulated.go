package target

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"text/template"
	"time"

	"gainwright/model"
	"gainwright/model/target"
	templates "gainwright/templates/target"
)

var frames = template.Must(template.ParseFS(templates.Files, "*.tmpl"))

// Simulated is a controller on a simulated part. It implements trial.Target; every Run is measured.
type Simulated struct {
	// Search is the number of ticks that each Run on avr8 adds when its records have ended, to look for the worst
	// tick: from states that the records led to, with inputs and settings changed towards what costs most.
	Search int

	part       part
	controller controller
	dir        string // its own, removed by Close
	patience   time.Duration
	mu         sync.Mutex
	measured   Measured
	total      uint64
	noted      func(cost int) // is told what each tick took; may be nil
}

// Measured is what a controller takes on a part.
type Measured struct {
	Part string // such as "ATmega328P in libsimavr"
	Unit string // of Worst, Mean and Proven: cycles or instructions
	// Worst and Mean are over all ticks run, from the first instruction of the step to its return, the return
	// included.
	Ticks int
	Worst int
	Mean  float64
	// Found is the worst tick of the ticks run and of the search behind them; 0 where there is no search.
	Found int
	// Proven is the longest path through the step, and what it calls, in the machine code; 0 where none is known.
	Proven   int
	Unproven string // why not
	// Flash and RAM are what the controller (start, setters, step, one state, one set of inputs and outputs) adds
	// to an empty program: text and data, and data and bss, as the size command counts them.
	Flash, RAM int
	Setters    int // the part of Flash that is there to set gains
	State      int // bytes of the state struct
	Stack      int // bytes that a step takes at most, over all ticks run
}

// part is a kind of simulated part.
type part interface {
	// missing lists tools that are not there, each with the Debian package that brings it.
	missing(ctx context.Context) []string
	// about says what Part and Unit are, once the firmware is compiled.
	about() (part, unit string)
	// compile turns a C file in the folder into an ELF file. defines are macros.
	compile(ctx context.Context, dir, source, elf string, defines ...string) error
	// firmware names the template of the program that runs records.
	firmware() string
	// prepare is called once, when the firmware is compiled.
	prepare(ctx context.Context, s *Simulated) error
	// start starts the simulator. The streams carry records, as the firmware's template describes.
	start(ctx context.Context, s *Simulated) (*process, error)
	// cost turns what the firmware measured into Unit.
	cost(measured, base uint32) int
}

// parts are the simulated parts by the target's name in the spec.
var parts = map[string]func() part{
	"avr8":      func() part { return &avr{} },
	"cortex-m0": func() part { return &qemu{machine: cortexM0} },
	"cortex-m4": func() part { return &qemu{machine: cortexM4} },
	"rv32imc":   func() part { return &qemu{machine: rv32imc} },
}

// Parts are the names that NewSimulated takes.
func Parts() []string {
	return slices.DeleteFunc(target.Names(), func(name string) bool { return parts[name] == nil })
}

// NewSimulated builds the emitted header of u for a part. Close it after use.
func NewSimulated(ctx context.Context, name string, u *model.Unit) (*Simulated, error) {
	return build(ctx, name, emitted(u))
}

// build compiles a controller for a part and looks at what it takes.
func build(ctx context.Context, name string, k controller) (*Simulated, error) {
	newPart, known := parts[name]
	if !known {
		return nil, fmt.Errorf("no part is simulated for %q: there are %s", name, strings.Join(Parts(), ", "))
	}
	s := &Simulated{part: newPart(), controller: k, patience: patience}
	if lacking := s.part.missing(ctx); len(lacking) > 0 {
		return nil, &Lacking{name, lacking}
	}
	dir, err := os.MkdirTemp("", "gainwright-")
	if err != nil {
		return nil, err
	}
	s.dir = dir
	if err := s.compile(ctx); err != nil {
		s.Close()
		return nil, fmt.Errorf("%s on %s: %w", k.name, name, err)
	}
	return s, nil
}

// Lacking is the error that tools are missing.
type Lacking struct {
	Target string
	Tools  []string
}

func (l *Lacking) Error() string {
	return "to run code for " + l.Target + " this machine lacks " + strings.Join(l.Tools, ", ")
}

// Close removes the files of the build.
func (s *Simulated) Close() error { return os.RemoveAll(s.dir) }

// Name says what runs.
func (s *Simulated) Name() string {
	what, _ := s.part.about()
	return "C on a simulated " + what
}

// Measured is what was found so far.
func (s *Simulated) Measured() Measured {
	s.mu.Lock()
	defer s.mu.Unlock()
	m := s.measured
	if m.Ticks > 0 {
		m.Mean = float64(s.total) / float64(m.Ticks)
	}
	return m
}

func (s *Simulated) compile(ctx context.Context) error {
	files := map[string][]byte{s.controller.name + ".h": s.controller.header}
	for file, frame := range map[string]string{"firmware.c": s.part.firmware(), "image.c": "image.c.tmpl"} {
		var text bytes.Buffer
		if err := frames.ExecuteTemplate(&text, frame, s.controller.frame()); err != nil {
			return err
		}
		files[file] = text.Bytes()
	}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(s.dir, name), text, 0o600); err != nil {
			return err
		}
	}
	if err := s.part.compile(ctx, s.dir, "firmware.c", "firmware.elf"); err != nil {
		return err
	}
	s.measured.Part, s.measured.Unit = s.part.about()
	if !s.controller.unweighed {
		if err := s.weigh(ctx); err != nil {
			return err
		}
	}
	return s.part.prepare(ctx, s)
}

// weigh compares the controller's image with those that hold less.
func (s *Simulated) weigh(ctx context.Context) error {
	var images []*image
	for _, defines := range [][]string{nil, {"Fixed"}, {"Bare"}} {
		if err := s.part.compile(ctx, s.dir, "image.c", "image.elf", defines...); err != nil {
			return err
		}
		i, err := readImage(filepath.Join(s.dir, "image.elf"))
		if err != nil {
			return err
		}
		images = append(images, i)
	}
	whole, fixed, bare := images[0], images[1], images[2]
	s.measured.Flash, s.measured.RAM = whole.flash-bare.flash, whole.ram-bare.ram
	s.measured.Setters = whole.flash - fixed.flash
	s.measured.State = int(whole.symbols["State"].Size)
	return nil
}

// note counts what one tick took.
func (s *Simulated) note(cost int) {
	s.measured.Ticks++
	s.total += uint64(cost)
	s.measured.Worst = max(s.measured.Worst, cost)
	if s.noted != nil {
		s.noted(cost)
	}
}
