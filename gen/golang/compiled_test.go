package golang

import (
	"bytes"
	"strings"
	"testing"

	"gainwright/gen/c"
	"gainwright/model/tier"
)

// The emitted package beside the emitted C: the Go tool passes over the C, the emitted test compiles it
// and finds the same bits, and finds a C that is wrong.
func TestBesideTheC(t *testing.T) {
	for name, unit := range samples {
		t.Run(name, func(t *testing.T) {
			if name != "every kind" {
				tier.Slow(t)
			}
			u := unit()
			dir := write(t, u)
			header := c.Header(u)
			put(t, dir, "../"+u.Integer.Name+".h", header)
			put(t, dir, u.Integer.Name+"_stream.c", c.Stream(u))
			put(t, dir, u.Integer.Name+"_vectors.h", c.Vectors(u, c.DefaultTicks))
			out, err := run(t, dir, "test", "-short", "-count=1", "-v", "-skip", "TestHeaderIsAsGenerated", "./...")
			if err != nil || !strings.Contains(out, "--- PASS: TestCompiledC") {
				t.Fatalf("go test: %v\n%s", err, out)
			}
			wrong := bytes.Replace(header, []byte("x < lo ? lo"), []byte("x < lo ? hi"), 1)
			if bytes.Equal(wrong, header) {
				if name == "every kind" {
					t.Fatal("the clamp to spoil was not found")
				}
				return
			}
			put(t, dir, "../"+u.Integer.Name+".h", wrong)
			out, err = run(t, dir, "test", "-count=1", "-run", "TestCompiledC", "./...")
			if err == nil || !strings.Contains(out, "differ") {
				t.Errorf("a wrong clamp in the C was not noticed: %v\n%s", err, out)
			}
		})
	}
}
