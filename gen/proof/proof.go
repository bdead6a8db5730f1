// Package proof has the emitted C header proven once more, by a party that knows nothing of this tool:
// Eva, the sound value analysis of Frama-C (Debian's frama-c-base).
//
// The header gets ACSL annotations: a contract at init, setters and step, and behind every value of the
// step the range that the certificate gives it. A driver calls the functions with any raw input, any setting
// of a live gain and any state in its certified range. Eva then has to show, for int of 16 and of 32 bits,
// that no operation overflows, that every contract and range holds, and that every statement is
// reached. It works with intervals, so what follows from an affine form or from a peak gain it cannot find:
// such facts are admitted, each marked, counted and held against the certificate that the exact checker
// proved. All annotations are comments: the compiled code is the same.
package proof

import (
	"fmt"
	"strings"
	"time"

	"gainwright/gen/c"
	"gainwright/model"
)

// Machine is a model of a processor, by Frama-C's name.
type Machine string

// The machines that a header is proven for.
const (
	Int16 Machine = "gcc_x86_16" // int has 16 bits, as on AVR
	Int32 Machine = "gcc_x86_32" // int has 32 bits, as on ARM and RISC-V
)

// Machines are all of them.
var Machines = []Machine{Int16, Int32}

// Files returns the annotated header and the driver by name, as anybody can hand them to Frama-C: the
// driver's first comment says how.
func Files(u *model.Unit) (map[string][]byte, error) {
	header, err := Annotate(u, c.Header(u))
	if err != nil {
		return nil, err
	}
	return map[string][]byte{
		u.Spec.Name + ".h": header,
		DriverName(u):      driver(u, header),
	}, nil
}

// DriverName is the name of the driver's file.
func DriverName(u *model.Unit) string { return u.Spec.Name + "_proof.c" }

// Result is what one run of the analysis found.
type Result struct {
	Machine    Machine
	Alarms     []string // one a line, as Eva says it; the analysis stops at the first
	Reached    int      // statements of the functions in the header
	Statements int      // and how many there are
	Unreached  []string // functions with statements that no run reached
	Proven     int      // ranges of values, and clauses of contracts, that Eva proved
	Ranges     int      // the ranges among them
	Open       []string // those that it did not
	Admits     []Admit
	Processor  time.Duration // processor time
}

// OK tells whether the header is proven.
func (r *Result) OK() bool {
	return len(r.Alarms) == 0 && len(r.Open) == 0 && len(r.Unreached) == 0 && r.Statements > 0 && r.Reached == r.Statements && r.Proven > 0
}

func (r *Result) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %d alarms, %d of %d statements reached, %d ranges and %d clauses proven, %d open, %d admitted",
		r.Machine, len(r.Alarms), r.Reached, r.Statements, r.Ranges, r.Proven-r.Ranges, len(r.Open), len(r.Admits))
	for _, list := range [][]string{r.Alarms, r.Open, r.Unreached} {
		for _, s := range list {
			b.WriteString("\n    " + s)
		}
	}
	return b.String()
}
