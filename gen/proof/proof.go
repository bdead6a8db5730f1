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
