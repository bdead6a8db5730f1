package golang

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/tier"
)

// A starter, with -long every one, through the whole compiler: the emitted package alone repeats the interpreters bit for
// bit, keeps its bounds and agrees with the compiled C.
func TestStarters(t *testing.T) {
	specs, err := filepath.Glob("../../templates/starters/*.yaml")
	if err != nil || len(specs) == 0 {
		t.Fatalf("no starters: %v", err)
	}
	for _, path := range specs {
		name := strings.TrimSuffix(filepath.Base(path), ".yaml")
		if name != "incubator" && !tier.Long() { // package golden runs the tests of its files
			continue
		}
		t.Run(name, func(t *testing.T) {
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			u := model.Compile(filepath.Base(path), text)
			if !u.OK() {
				t.Fatalf("%v", u.Findings)
			}
			dir := write(t, u)
			vectors(t, dir, u)
			put(t, dir, "../"+u.Integer.Name+".h", c.Header(u))
			put(t, dir, u.Integer.Name+"_stream.c", c.Stream(u))
			put(t, dir, u.Integer.Name+"_vectors.h", c.Vectors(u, c.DefaultTicks))
			if out, err := run(t, dir, "vet", "./..."); err != nil {
				t.Errorf("go vet: %v\n%s", err, out)
			}
			out, err := run(t, dir, "test", "-short", "-count=1", "-v", "-skip", "TestHeaderIsAsGenerated", "./...")
			if err != nil {
				t.Fatalf("go test: %v\n%s", err, out)
			}
			for _, want := range []string{"TestInterpreters", "TestCompiledC", "TestSelfTest", "TestIntegersStayWithinBounds", "TestStepIsWatch"} {
				if !strings.Contains(out, "--- PASS: "+want) {
					t.Errorf("%s did not run:\n%s", want, out)
				}
			}
		})
	}
}
