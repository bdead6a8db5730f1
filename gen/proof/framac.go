package proof

import (
	"fmt"
	"strings"

	"gainwright/model"
)

// Tool is the program that does the analysis, Package what brings it.
const (
	Tool    = "frama-c"
	Package = "frama-c-base"
)

// longestLoop is more turns than a loop of the self-test takes: one a tick, and one a byte of the state.
const longestLoop = 4096

// arguments are those of one run, the driver's file among them.
func arguments(u *model.Unit, header []byte, m Machine, p part) []string {
	args := []string{"-machdep", string(m), "-eva", "-eva-warn-key", "alarm=abort", "-warn-signed-downcast",
		"-warn-unsigned-downcast", "-warn-unsigned-overflow", "-no-warn-right-shift-negative"}
	switch p {
	case selftest:
		args = append(args, "-eva-min-loop-unroll", fmt.Sprint(longestLoop), "-eva-no-results")
	case arctangent:
		args = append(args, "-from-verify-assigns")
	case everything:
		args = append(args, "-eva-domains", "octagon", "-from-verify-assigns")
		if names := angleNames(u, header); len(names) > 0 {
			args = append(args, "-eva-use-spec", strings.Join(names, ","))
		}
	}
	args = append(args, "-cpp-extra-args=-I..") // where the header is, seen from the folder of this file
	if p != everything {
		args = append(args, "-cpp-extra-args=-D"+p.macro(u))
	}
	return append(args, DriverName(u))
}
