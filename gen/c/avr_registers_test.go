package c

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"gainwright/model"
	"gainwright/model/arbitrary"
	"gainwright/model/selection"
	"gainwright/model/tier"
)

// registersFrom is the first seed of the controllers that TestTheCompilerFindsRegisters compiles: those that the cost
// tables are held against begin there too, one of which once failed.
const registersFrom = 7_000_000

// registersUse has a step on objects that the compiler knows the addresses of, on pointers, and on the stack.
// One alone is inlined; of several the compiler makes a function.
const registersUse = `#include "r.h"
#ifdef SEVERAL
r_state State;
r_in In;
r_out Out;
void on_globals(void) { r_step(&State, &In, &Out); }
void on_pointers(r_state *s, const r_in *in, r_out *out) { r_step(s, in, out); }
#endif
#ifdef __cplusplus
extern "C" {
#endif
void get(r_in *in);
void put(const r_out *out);
#ifdef __cplusplus
}
#endif
void on_the_stack(void) { r_state s; r_in in; r_out out; r_init(&s); for (;;) { get(&in); r_step(&s, &in, &out); put(&out); } }
`

// TestTheCompilerFindsRegisters compiles steps of random controllers for AVR. Inline assembly asks for registers of a
// kind, of which there are few; where it asks for more than the compiler can give, at whatever place it is inlined, the
// compiler stops with an error. With -long there are 1000 controllers, more levels of optimisation, and C++.
func TestTheCompilerFindsRegisters(t *testing.T) {
	tier.Slow(t)
	need(t, "avr-gcc")
	n := tier.Count(24, 24, 1000)
	ways := [][]string{{"avr-gcc", "-std=c99", "-O2"}, {"avr-gcc", "-std=c99", "-Os"}}
	if tier.Long() {
		ways = append(ways, []string{"avr-gcc", "-std=c99", "-O1"}, []string{"avr-gcc", "-std=c99", "-O3"}, []string{"avr-g++", "-std=c++11", "-O2"}, []string{"avr-gcc", "-std=c99", "-O2", "-DSEVERAL"})
	}
	var compiled, refused, failed int
	var mu sync.Mutex
	var workers sync.WaitGroup
	seeds := make(chan uint64)
	for range 2 {
		dir := t.TempDir()
		workers.Go(func() {
			for seed := range seeds {
				spec := arbitrary.New("r", seed)
				spec.Target = "avr8"
				errs, ok := withoutRegisters(dir, spec, ways)
				mu.Lock()
				if !ok {
					refused++
				} else {
					compiled++
				}
				failed += len(errs)
				for _, e := range errs {
					t.Errorf("seed %d: %s", seed, e)
				}
				mu.Unlock()
			}
		})
	}
	for seed := range uint64(n) {
		seeds <- registersFrom + seed
	}
	close(seeds)
	workers.Wait()
	if refused > n/4 {
		t.Errorf("%d of %d specs are refused", refused, n)
	}
	t.Logf("%d controllers compiled in %d ways, %d specs refused, %d failures", compiled, len(ways)*len(preferences), refused, failed)
}

// preferences are what is emitted for.
var preferences = map[string]selection.Preference{"speed": selection.Speed, "size": selection.Size}

// withoutRegisters lists the ways in which the compiler refuses the header of a spec; ok is false where the spec is refused.
func withoutRegisters(dir string, spec *arbitrary.Spec, ways [][]string) (errs []string, ok bool) {
	u := model.Compile("r", spec.Text())
	if !u.OK() {
		return nil, false
	}
	for name, p := range preferences {
		for file, text := range map[string][]byte{"r.h": HeaderFor(u, p), "use.c": []byte(registersUse), "use.cpp": []byte(registersUse)} {
			if err := os.WriteFile(filepath.Join(dir, file), text, 0o600); err != nil {
				return []string{err.Error()}, true
			}
		}
		for _, way := range ways {
			source := "use.c"
			if way[0] == "avr-g++" {
				source = "use.cpp"
			}
			args := append(append([]string(nil), way[1:]...), "-mmcu=atmega328p", "-S", "-o", os.DevNull, source)
			if out, err := run(dir, nil, way[0], args...); err != nil {
				errs = append(errs, fmt.Sprintf("for %s, %s: %v\n%s", name, strings.Join(way, " "), err, out))
			}
		}
	}
	return errs, true
}
