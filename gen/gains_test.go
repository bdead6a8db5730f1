package gen_test

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gainwright/gen"
	"gainwright/model"
	"gainwright/model/tier"
	"gainwright/templates"
)

func made(t testing.TB, name string, text []byte) (map[string][]byte, *gen.Record) {
	t.Helper()
	u := model.Compile(name+".yaml", text)
	files, err := gen.Generate(u)
	if err != nil {
		t.Fatalf("%v\n%v", err, u.Findings)
	}
	r, err := gen.ReadRecord(files[gen.RecordName])
	if err != nil {
		t.Fatal(err)
	}
	return files, r
}

// replaced changes a starter; the text must be there once.
func replaced(t testing.TB, name, old, new string) []byte {
	t.Helper()
	text := templates.Starter(name)
	if bytes.Count(text, []byte(old)) != 1 {
		t.Fatalf("%q does not stand once in %s", old, name)
	}
	return bytes.Replace(text, []byte(old), []byte(new), 1)
}

var liveChanges = []struct{ starter, was, now string }{
	{"cart", "kp: 41,", "kp: 1.5,"},
	{"cart", "kp: 41,", "kp: 56,"},
	{"cart", "kp: 41,", "kp: 0,"},
	{"cart", "ki: 650,", "ki: 1199.9,"},
	{"cart", "kd: 1.5,", "kd: 4,"},
	{"heading", "kp: 4.2,", "kp: 15,"},
	{"heading", "ki: 0.8,", "ki: 0.001,"},
	{"incubator", "kp: 12,", "kp: 49,"},
	{"incubator", "ki: 0.02,", "ki: 0.2,"},
}

// A live gain inside its tuning range is a number in the code and nothing else: every format, type and
// certified range stays, and the header differs in numbers and comments alone.
func TestLiveGainChangesNoFormat(t *testing.T) {
	for i := 0; i < len(liveChanges); i += tier.Count(4, 2, 1) {
		c := liveChanges[i]
		t.Run(c.starter+" "+strings.TrimSuffix(c.now, ","), func(t *testing.T) {
			filesWas, was := made(t, c.starter, templates.Starter(c.starter))
			filesNow, now := made(t, c.starter, replaced(t, c.starter, c.was, c.now))
			if was.SpecSHA256 == now.SpecSHA256 || was.Files[c.starter+".h"] == now.Files[c.starter+".h"] {
				t.Error("the hash of the spec or the header did not change")
			}
			for what, pair := range map[string][2][]gen.Stored{"signals": {was.Signals, now.Signals}, "states": {was.States, now.States}, "gains": {was.Gains, now.Gains}} {
				if d := cmp.Diff(pair[0], pair[1]); d != "" {
					t.Errorf("%s changed:\n%s", what, d)
				}
			}
			if len(gen.FormatChanges(was, now))+len(gen.RangeChanges(was, now)) > 0 {
				t.Error("changes are reported")
			}
			header := c.starter + ".h"
			if d := cmp.Diff(skeleton(filesWas[header]), skeleton(filesNow[header])); d != "" {
				t.Errorf("the header changed in more than constants, hash and comments:\n%s", d)
			}
		})
	}
}

var (
	comment  = regexp.MustCompile(`(?s)/\*.*?\*/`)
	defines  = regexp.MustCompile(`(?m)^#define +(\w+) .*$`)
	sums     = regexp.MustCompile(`UINT64_C\(0x[0-9a-f]+\)`)
	blanks   = regexp.MustCompile(`[ \t]+`)
	emptying = regexp.MustCompile(`(?m)^\s*\n`)
)

// skeleton is a header without comments, the values of its constants and their checksums.
func skeleton(header []byte) string {
	s := comment.ReplaceAllString(string(header), "")
	s = defines.ReplaceAllString(s, "#define $1")
	s = sums.ReplaceAllString(s, "SUM")
	return emptying.ReplaceAllString(blanks.ReplaceAllString(s, " "), "")
}

// Other changes move formats, and each value that moved is named.
func TestFormatChangesAreReported(t *testing.T) {
	tier.Slow(t)
	for _, c := range []struct{ starter, was, now, names string }{
		{"cart", "effort.kp: [0, 56]", "effort.kp: [0, 6000]", "gain effort_kp"},
		{"cart", "limits: [-90, 90]", "limits: [-180, 180]", ""},
		{"cart", "counts_per_unit: 131", "counts_per_unit: 65.5", "signal pitch_rate, signal rate, state rate_sum"},
		{"incubator", "counts_per_unit: 10", "counts_per_unit: 2.5", "signal heater"},
	} {
		t.Run(c.starter+" "+c.now, func(t *testing.T) {
			_, was := made(t, c.starter, templates.Starter(c.starter))
			_, now := made(t, c.starter, replaced(t, c.starter, c.was, c.now))
			changes := map[string]gen.Change{}
			for _, ch := range gen.FormatChanges(was, now) {
				changes[ch.Name] = ch
				if ch.Was == ch.Now {
					t.Errorf("%s is no change", ch)
				}
			}
			for name := range strings.SplitSeq(c.names, ", ") {
				if _, ok := changes[name]; !ok && name != "" {
					t.Errorf("%s is not reported; reported are %v", name, changes)
				}
			}
			t.Log(changes)
		})
	}
}

// A value that comes or goes is a change too.
func TestNewAndGoneValues(t *testing.T) {
	_, was := made(t, "incubator", templates.Starter("incubator"))
	_, now := made(t, "incubator", replaced(t, "incubator", "kd: 60, derivative_filter: 10 s, ", ""))
	got := ""
	for _, c := range gen.FormatChanges(was, now) {
		got += c.Name + " " + c.Now + ";"
	}
	if !strings.Contains(got, "state heat_slow gone;") {
		t.Errorf("got %s", got)
	}
	got = ""
	for _, c := range gen.FormatChanges(now, was) {
		got += c.Name + " " + c.Was + ";"
	}
	if !strings.Contains(got, "state heat_slow none;") {
		t.Errorf("got %s", got)
	}
}
