package trial

import (
	"os"
	"strings"
	"testing"
)

// TestReadLog: what is wrong with a log is said with its place, all of it.
func TestReadLog(t *testing.T) {
	u := unit(t, "cart_log")
	for _, c := range []struct {
		name, text string
		set        []string
		want       []string
	}{
		{"good", "t,armed,pitch_rate,accel_up,accel_forward,note\n0.0,1,5,6,-7,start\n0.1,0,32767, -32768,0,\n", nil, nil},
		{"with a mark and line ends of another system", "\xef\xbb\xbfarmed,pitch_rate,accel_up,accel_forward\r\n1,5,6,-7\r\n", nil, nil},
		{"set", "accel_forward,accel_up,pitch_rate\n1,2,3\n", []string{"armed=1"}, nil},
		{"missing", "accel_forward,accel_up,rate\n1,2,3\n", nil, []string{
			"log.csv:1:1: error: pitch_rate: no column of the log has the name of this input; the columns are accel_forward, accel_up, rate [missing-column]",
			"log.csv:1:1: error: armed: no column"}},
		{"bad values", "accel_forward,accel_up,pitch_rate,armed\n1,2,3,1\n1,-32769,3,2\n1.5,2,,1\nnan,0x10,1e3,true\n", nil, []string{
			"log.csv:3:3: error: accel_up: the count -32769 is outside what the raw input holds, [-32768, 32767] [log-value]",
			"log.csv:3:12: error: armed: the count 2 is outside what the raw input holds, [0, 1] [log-value]",
			`log.csv:4:1: error: accel_forward: "1.5" is no whole raw count [log-value]`,
			`log.csv:4:7: error: pitch_rate: "" is no whole raw count`,
			`log.csv:5:1: error: accel_forward: "nan" is no whole`,
			`log.csv:5:5: error: accel_up: "0x10" is no whole`,
			`log.csv:5:10: error: pitch_rate: "1e3" is no whole`,
			`log.csv:5:14: error: armed: "true" is no whole`}},
		{"short row", "accel_forward,accel_up,pitch_rate,armed\n1,2,3\n1,2,3,1\n", nil, []string{"log.csv:2:1: error: wrong number of fields [log-syntax]"}},
		{"quote", "accel_forward,accel_up,pitch_rate,armed\n1,2,3,1\n1,2,\"3,1\n", nil, []string{"log.csv:3:10: error: extraneous or missing \" in quoted-field"}},
		{"no rows", "accel_forward,accel_up,pitch_rate,armed\n", nil, []string{"log.csv:1:1: error: there are no rows"}},
		{"nothing", "", nil, []string{"log.csv:1:1: error: the log is empty"}},
		{"twice", "accel_forward,accel_up,pitch_rate,armed,armed\n1,2,3,1,1\n", nil, []string{"log.csv:1:41: error: armed: a second column of this name"}},
		{"set and column", "accel_forward,accel_up,pitch_rate,armed\n1,2,3,1\n", []string{"armed=1"}, []string{"log.csv:1:35: error: armed: the input is set by name=value and has a column too"}},
		{"bad settings", "accel_forward,accel_up,pitch_rate\n1,2,3\n", []string{"armed=7", "ready=1", "armed", "armed=1"}, []string{
			"log.csv: error: armed: the count 7 is outside", "log.csv: error: ready: no input has this name", "log.csv: error: armed: name=value is expected", "log.csv: error: armed: it is set twice"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			log, found := ReadLog("log.csv", strings.NewReader(c.text), u.Integer, c.set)
			if len(found) != len(c.want) || (log == nil) != found.Failed() {
				t.Fatalf("%d findings, %d are expected: %v", len(found), len(c.want), found)
			}
			for i, f := range found {
				if !strings.HasPrefix(f.String(), c.want[i]) || f.Remedy == "" {
					t.Errorf("got  %s\nwant %s", f, c.want[i])
				}
			}
		})
	}
	log, _ := ReadLog("log.csv", strings.NewReader("armed,x,accel_up,accel_forward,pitch_rate\n1,9,2,3,4\n0,9,6,32767,8\n"), u.Integer, nil)
	record := make([]int64, 4)
	src := &rowSource{log: log}
	src.next(record)
	src.next(record)
	if log.Rows != 2 || log.Outside != 1 || len(log.Ignored) != 1 || record[0] != 32767 || record[1] != 6 || record[2] != 8 || record[3] != 0 {
		t.Errorf("%+v gives %v", log, record)
	}
}

func TestManyBadValuesAreCounted(t *testing.T) {
	u := unit(t, "incubator")
	_, found := ReadLog("log.csv", strings.NewReader("temperature\n"+strings.Repeat("x\n", 1000)), u.Integer, nil)
	if len(found) != mostFindings+1 || !strings.Contains(found[mostFindings].Message, "980 more") {
		t.Errorf("%d findings, the last: %v", len(found), found[len(found)-1])
	}
}

// logged runs a recorded log on the cart of the recorded logs, with something changed.
func logged(t *testing.T, file string, change ...string) *Result {
	t.Helper()
	u := unit(t, "cart_log")
	if len(change) > 0 {
		if u = compileFile("../../testdata/specs/cart_log.yaml", strings.NewReplacer(change...)); !u.OK() {
			t.Fatal(u.Findings)
		}
	}
	text, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer text.Close()
	log, found := ReadLog(file, text, u.Integer, []string{"armed=1"})
	if log == nil {
		t.Fatal(found)
	}
	r, err := VerifyLog(t.Context(), u, log, Options{Target: &fake{p: u.Integer}})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

const hero7 = "../../testdata/logs/hero7.csv"

// TestRecordedLog runs the whole of a recorded log: bits, ranges and bounds are kept, and the axes are right as
// testdata/logs/README.md found by other means.
func TestRecordedLog(t *testing.T) {
	r := logged(t, hero7)
	if k := r.Kinds[0]; !r.OK() || k.Ticks != 3369 || !k.Declared || k.Same.Compared != 3369*NewLayout(unit(t, "cart_log").Integer).Out {
		t.Errorf("the log is not kept: %+v", k)
	}
	if len(r.Axes) != 1 || len(r.Findings()) != 0 {
		t.Fatalf("%v, %v", r.Axes, r.Findings())
	}
	a := r.Axes[0]
	if a.Step != "tilt" || a.Angle != "lean" || a.Rate != "rate" || a.Verdict != Right || a.Windows < 1000 ||
		a.Slope < 1.1 || a.Slope > 1.3 || a.Correlation < 0.55 || a.Correlation > 0.8 {
		t.Errorf("%+v", a)
	}
}

func TestAxes(t *testing.T) {
	for _, c := range []struct {
		name, file string
		change     []string
		verdict    Verdict
		message    string
	}{
		{"the rate turned round", hero7, []string{"counts_per_unit: 32.777", "counts_per_unit: -32.777"}, Wrong, "lean falls while rate is positive"},
		{"one axis of the angle turned round", hero7, []string{"accel_forward: {raw: int16, unit: g, counts_per_unit: 4099.18", "accel_forward: {raw: int16, unit: g, counts_per_unit: -4099.18"}, Wrong, "lean falls while rate is positive"},
		{"a rate of another scale", hero7, []string{"counts_per_unit: 32.777, range: [-990, 990]", "counts_per_unit: 131, range: [-240, 240]"}, Wrong, "does not change as rate says"},
		{"little motion", "../../testdata/logs/hero6.csv", nil, CannotTell, "the log cannot tell"},
		{"the piece for the starter", "../../templates/starters/cart_log.csv", nil, Right, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := logged(t, c.file, c.change...)
			if !r.OK() {
				t.Error("the log is not kept")
			}
			a, found := r.Axes[0], r.Findings()
			if a.Verdict != c.verdict {
				t.Fatalf("%+v", a)
			}
			if c.message == "" {
				return
			}
			if len(found) != 1 || !strings.Contains(found[0].String(), c.message) || found[0].Pos.Line == 0 || found[0].Remedy == "" {
				t.Errorf("%v", found)
			}
		})
	}
}

func TestNoAxesWithoutAComplementaryStep(t *testing.T) {
	u := unit(t, "incubator")
	log, found := ReadLog("log.csv", strings.NewReader("temperature\n5000\n5100\n"), u.Integer, nil)
	if log == nil {
		t.Fatal(found)
	}
	r, err := VerifyLog(t.Context(), u, log, Options{})
	if err != nil || len(r.Axes) != 0 || !r.OK() || r.Ticks != 2 {
		t.Errorf("%+v, %v", r, err)
	}
}
