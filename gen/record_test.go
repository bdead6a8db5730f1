package gen_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gainwright/gen"
	"gainwright/templates"
)

// What one count of a setter is goes from the spec to the C and the record; where two records differ in it, that is found.
func TestSetterCounts(t *testing.T) {
	was, records := "heat.kp: [0, 50]", map[string]*gen.Record{}
	for _, c := range []struct{ tuning, count, high, per string }{
		{"heat.kp: [0, 99]", "0.001", "INT32_C(99000)", "1000"},
		{"heat.kp: [0, 100]", "0.01", "INT32_C(10000)", "100"},
		{"heat.kp: {range: [0, 100], count: 0.001}", "0.001", "INT32_C(100000)", "1000"},
		{"heat.kp: {range: [0, 100], count: 1}", "1", "INT32_C(100)", "1"},
		{"heat.kp: {range: [0, 100], count: 0.0000001}", "0.0000001", "INT32_C(1000000000)", "INT32_C(10000000)"},
	} {
		files, r := made(t, "incubator", replaced(t, "incubator", was, c.tuning))
		records[c.tuning] = r
		if d := cmp.Diff(map[string]string{"heat.kp": c.count, "heat.ki": "0.00001"}, r.Setters); d != "" {
			t.Errorf("%s: %s", c.tuning, d)
		}
		header := strings.Join(strings.Fields(string(files["incubator.h"])), " ")
		for _, want := range []string{"#define INCUBATOR_HEAT_KP_HIGH " + c.high + " ", "#define INCUBATOR_HEAT_KP_COUNTS_PER_UNIT " + c.per + " ", "x counts " + c.count + " percent/degC."} {
			if !strings.Contains(header, want) {
				t.Errorf("%s: the header does not hold %q", c.tuning, want)
			}
		}
	}
	changes := gen.CountChanges(records["heat.kp: [0, 99]"], records["heat.kp: [0, 100]"])
	if d := cmp.Diff([]gen.CountChange{{Key: "heat.kp", Was: "0.001", Now: "0.01"}}, changes); d != "" {
		t.Error(d)
	}
	if got := gen.CountChanges(records["heat.kp: [0, 99]"], records["heat.kp: {range: [0, 100], count: 0.001}"]); len(got) > 0 {
		t.Errorf("nothing changed, and reported is %v", got)
	}
}

// A record may have been changed by anybody: what this tool would not write is refused with a sentence, and nothing of it
// reaches a terminal as it stands.
func TestHostileRecords(t *testing.T) {
	files, good := made(t, "incubator", templates.Starter("incubator"))
	if _, err := gen.ReadRecord(files[gen.RecordName]); err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(*gen.Record){
		"controller": func(r *gen.Record) { r.Controller = "a\x1b[2J" },
		"path":       func(r *gen.Record) { r.Files = map[string]string{"../../etc/passwd.h": ""} },
		"count":      func(r *gen.Record) { r.Setters = map[string]string{"heat.kp": "0.001\nfine"} },
		"key":        func(r *gen.Record) { r.Setters = map[string]string{"heat\x07.kp": "0.001"} },
		"format":     func(r *gen.Record) { r.Gains = []gen.Stored{{Name: "a\x1b]0;b"}} },
	} {
		r := *good
		spoil(&r)
		text, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := gen.ReadRecord(text); err == nil || strings.ContainsAny(err.Error(), "\x1b\x07\n") {
			t.Errorf("%s: %q", name, fmt.Sprint(err))
		}
	}
	for _, text := range []string{"", "[]", "null", "{}", `{"controller": 5}`, strings.Repeat("[", 20_000)} {
		if _, err := gen.ReadRecord([]byte(text)); err == nil {
			t.Errorf("%.20q is taken for a record", text)
		}
	}
}
