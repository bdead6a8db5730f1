package c

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
)

// forgetful is the header with an init of its own and restarts that leave out one statement each, by number: that of forget in any
// restart, that of inside in one that keeps integrals, and that of drop among those that put the integrals back.
func forgetful(t *testing.T, u *model.Unit) (header string, states, integrals int) {
	t.Helper()
	name, text := u.Spec.Name, string(Header(u))
	statement := regexp.MustCompile(`(?m)^    s->`)
	function := func(of string) string {
		start := strings.Index(text, "static "+strings.ToUpper(name)+"_SELDOM void "+name+of+"(")
		if start < 0 {
			return ""
		}
		return text[start:][:strings.Index(text[start:], "\n}\n")+3]
	}
	whole, with := function("_restart"), function("_restart_with_integrals")
	guarded := statement.ReplaceAllStringFunc(whole, func(s string) string {
		states++
		return fmt.Sprintf("    if (forget != %d && !(keeping && inside == %d)) s->", states, states)
	})
	text = strings.Replace(text, whole, strings.Replace(whole, name+"_restart(", name+"_from_rubbish(", 1)+guarded, 1)
	init := function("_init")
	text = strings.Replace(text, init, strings.Replace(init, name+"_restart(", name+"_from_rubbish(", 1), 1)
	if with != "" {
		spoiled := statement.ReplaceAllStringFunc(with, func(s string) string {
			integrals++
			return fmt.Sprintf("    if (drop != %d) s->", integrals)
		})
		spoiled = strings.Replace(spoiled, "    "+name+"_restart(s);", "    keeping = 1; "+name+"_restart(s); keeping = 0;", 1)
		text = strings.Replace(text, with, spoiled, 1)
	}
	return text, states, integrals
}

// TestSelfTestRestarts: the self-test notices each state that a restart in mid-run forgets, and each integral term that one that
// is to keep it loses, in every starter.
func TestSelfTestRestarts(t *testing.T) {
	for _, u := range starters(t) {
		name := u.Spec.Name
		header, states, integrals := forgetful(t, u)
		var started []program.FixedState // by restarts: latches stay as they are
		for _, s := range u.Integer.States {
			if !s.Latch {
				started = append(started, s)
			}
		}
		if states != len(started) || (integrals > 0) != u.KeepsIntegrals() {
			t.Fatalf("%s: %d states and %d integral terms in its restarts", name, states, integrals)
		}
		main := fmt.Sprintf(`#include <stdio.h>
static int forget, inside, drop, keeping;
#include "%[1]s_vectors.h"
int main(void)
{
    printf("%%u\n", (unsigned)%[1]s_selftest());
    for (forget = 1; forget <= %[2]d; forget++) printf("restart forgets %%d: %%u\n", forget, (unsigned)%[1]s_selftest());
    forget = 0;
    for (inside = 1; inside <= %[3]d; inside++) printf("restart_with_integrals forgets %%d: %%u\n", inside, (unsigned)%[1]s_selftest());
    inside = 0;
    for (drop = 1; drop <= %[4]d; drop++) printf("restart_with_integrals loses %%d: %%u\n", drop, (unsigned)%[1]s_selftest());
    return 0;
}
`, name, states, map[bool]int{true: states}[integrals > 0], integrals)
		dir := t.TempDir()
		write(t, dir, map[string][]byte{name + ".h": []byte(header), name + "_vectors.h": Vectors(u, DefaultTicks), "main.c": []byte(main)})
		if out, err := run(dir, nil, "cc", "-std=c99", "main.c", "-o", "main"); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		out, err := run(dir, nil, "./main")
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(strings.TrimSpace(string(out)), "\n")
		if lines[0] != "0" {
			t.Errorf("%s: as it is the self-test says %s", name, lines[0])
		}
		for n, line := range lines[1:] {
			if n -= states; n >= 0 && n < states && integrals > 0 && started[n].Integral {
				continue // it is put back
			}
			if !strings.HasSuffix(line, fmt.Sprintf(": %d", DefaultTicks+3)) {
				t.Errorf("%s: %s", name, line)
			}
		}
	}
}
