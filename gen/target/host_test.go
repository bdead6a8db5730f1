package target

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/tier"
	"gainwright/model/trial"
)

// controllers are the starters and the specs of testdata, compiled once.
var controllers = sync.OnceValue(func() []*model.Unit {
	paths, err := filepath.Glob("../../templates/starters/*.yaml")
	if err != nil || len(paths) == 0 {
		panic("no starters")
	}
	var out []*model.Unit
	more, _ := filepath.Glob("../../testdata/specs/*.yaml")
	for _, path := range append(paths, more...) {
		text, err := os.ReadFile(path)
		if err != nil {
			panic(err)
		}
		u := model.Compile(filepath.Base(path), text)
		if !u.OK() {
			panic(u.Findings[0].String())
		}
		out = append(out, u)
	}
	return out
})

func controllerNamed(t testing.TB, name string) *model.Unit {
	t.Helper()
	all := controllers()
	for i := range all {
		if u := all[len(all)-1-i]; u.Spec.Name == name { // the last cart_log is that of testdata
			return u
		}
	}
	t.Fatalf("no %s", name)
	return nil
}

func host(t testing.TB, u *model.Unit, o Options) *Host {
	t.Helper()
	h, err := NewHost(context.Background(), u, o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { h.Close() })
	return h
}

// TestHost runs every starter as C beside the two programs: no bit differs, nothing leaves its range or
// its bound.
func TestHost(t *testing.T) {
	ticks := tier.Count(20_000, 50_000, 200_000)
	for _, u := range controllers() {
		t.Run(u.File, func(t *testing.T) {
			r, err := trial.Verify(t.Context(), u, trial.Options{Ticks: ticks, Target: host(t, u, Options{})})
			if err != nil {
				t.Fatal(err)
			}
			compared := 0
			for _, k := range r.Kinds {
				compared += k.Same.Compared
				for _, f := range k.Faults {
					t.Error(f)
				}
				for _, s := range k.Signals {
					if s.Local.Unjudged != "" || s.Chain.Unjudged != "" || !s.Local.Claimed {
						t.Errorf("%s is not judged: %s%s", s.Name, s.Local.Unjudged, s.Chain.Unjudged)
					}
				}
			}
			if want := ticks * trial.NewLayout(u.Integer).Out; !r.OK() || compared != want || r.Speeds[2].Took <= 0 {
				t.Errorf("%d values of %d compared, %v", compared, want, r.Speeds)
			}
		})
	}
}

// TestSanitizedHost: the C does nothing that C leaves undefined.
func TestSanitizedHost(t *testing.T) {
	tier.Slow(t)
	for _, u := range controllers() {
		r, err := trial.Verify(t.Context(), u, trial.Options{Ticks: 30_000, Target: host(t, u, Options{Sanitize: true})})
		if err != nil {
			t.Errorf("%s: %v", u.File, err)
		} else if !r.OK() {
			t.Errorf("%s is not kept", u.File)
		}
	}
}

// A shift of a negative number to the left, put behind the step, ends the sanitized program.
func TestSanitizerEndsTheProgram(t *testing.T) {
	u := controllerNamed(t, "incubator")
	stream := strings.Replace(string(c.Stream(u)), "incubator_step(&state, &in, &out);", "incubator_step(&state, &in, &out);\n            out.heater = (int16_t)(out.heater + (((int32_t)in.temperature << 16) & 0));", 1)
	h, err := newHost(t.Context(), "incubator", c.Header(u), []byte(stream), Options{Sanitize: true})
	if err != nil {
		t.Fatal(err)
	}
	defer h.Close()
	_, err = trial.Verify(t.Context(), u, trial.Options{Ticks: 30_000, Target: h})
	if err == nil || !strings.Contains(err.Error(), "left shift of negative value") {
		t.Errorf("the error is %v", err)
	}
}

func TestNoCompiler(t *testing.T) {
	t.Setenv("CC", "no-such-compiler -m32")
	_, err := NewHost(t.Context(), controllerNamed(t, "incubator"), Options{})
	if err == nil || !strings.Contains(err.Error(), "no-such-compiler") || !strings.Contains(err.Error(), "Debian package gcc") {
		t.Errorf("the error is %v", err)
	}
}

// TestCompilerOfChoice has CC name a compiler with an option of its own.
func TestCompilerOfChoice(t *testing.T) {
	t.Setenv("CC", "cc -DCHOSEN")
	u := controllerNamed(t, "incubator")
	h, err := newHost(t.Context(), "incubator", c.Header(u), append([]byte("#ifndef CHOSEN\n#error \"not chosen\"\n#endif\n"), c.Stream(u)...), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer h.Close()
	if h.Name() != "C by cc -DCHOSEN on this host" {
		t.Error(h.Name())
	}
}

// What the compiler says is handed on, and nothing is left behind.
func TestCompilerRefuses(t *testing.T) {
	temp := t.TempDir()
	t.Setenv("TMPDIR", temp)
	u := controllerNamed(t, "incubator")
	_, err := newHost(t.Context(), "incubator", []byte("#include <stdint.h>\nint unused(int x) { return 0; }\n"), c.Stream(u), Options{})
	if err == nil || !strings.Contains(err.Error(), "incubator.h:2") {
		t.Errorf("the error is %v", err)
	}
	if left, _ := os.ReadDir(temp); len(left) != 0 {
		t.Errorf("%v are left", left)
	}
	h := host(t, u, Options{})
	if left, _ := os.ReadDir(temp); len(left) != 1 {
		t.Errorf("%v are there", left)
	}
	if err := h.Close(); err != nil {
		t.Error(err)
	}
	if left, _ := os.ReadDir(temp); len(left) != 0 {
		t.Errorf("%v are left", left)
	}
}

// A program that never answers ends with the context.
func TestHostEndsWithItsContext(t *testing.T) {
	u := controllerNamed(t, "incubator")
	stream := strings.Replace(string(c.Stream(u)), "incubator_init(&state);", "incubator_init(&state);\n    while (state.first_tick != 0u) { in.temperature = 0; }\n    (void)in;", 1)
	h, err := newHost(t.Context(), "incubator", c.Header(u), []byte(stream), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer h.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 200*time.Millisecond)
	defer cancel()
	_, err = trial.Verify(ctx, u, trial.Options{Ticks: 100_000, Target: h})
	if !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("the error is %v", err)
	}
}

// A program that fails says so.
func TestHostThatFails(t *testing.T) {
	u := controllerNamed(t, "incubator")
	for replacement, want := range map[string]string{
		"if (got != 0u) {\n            fputs(\"out of \"\"heat\", stderr);\n            return 3;\n        }\n        if (got == 0u) {": "exit status 3:\nout of heat",
		"if (got != 0u) {\n            continue;\n        }\n        if (got == 0u) {":                                                  "results are missing from tick 0 on",
	} {
		stream := strings.Replace(string(c.Stream(u)), "if (got == 0u) {", replacement, 1)
		h, err := newHost(t.Context(), "incubator", c.Header(u), []byte(stream), Options{})
		if err != nil {
			t.Fatal(err)
		}
		_, err = trial.Verify(t.Context(), u, trial.Options{Ticks: 100_000, Target: h})
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q is expected, the error is %v", want, err)
		}
		h.Close()
	}
}
