package gen_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"syscall"
	"testing"
	"time"

	"gainwright/gen"
	"gainwright/gen/summary"
	"gainwright/model"
	"gainwright/model/tier"
	"gainwright/templates"
)

// seldom is how the command collects garbage; see collectSeldom there.
const seldom = 400

// BenchmarkStarter measures check and generate of each starter against one `cc -O2 -c` of its header, in turn, in
// processor time.
func BenchmarkStarter(b *testing.B) {
	cc := tier.Tool(b, "cc", "a C compiler")
	defer debug.SetGCPercent(debug.SetGCPercent(seldom))
	for _, name := range templates.Starters() {
		b.Run(name, func(b *testing.B) {
			dir := b.TempDir()
			var ours, theirs time.Duration
			for range b.N {
				start := processorTime(b)
				u := model.Compile(name+".yaml", templates.Starter(name))
				summary.Of(u)
				files, err := gen.Generate(u)
				if err != nil {
					b.Fatal(err)
				}
				ours += processorTime(b) - start
				code := fmt.Sprintf("#include \"%[1]s.h\"\nvoid tick(%[1]s_state *s, const %[1]s_in *in, %[1]s_out *out);\n"+
					"void tick(%[1]s_state *s, const %[1]s_in *in, %[1]s_out *out) { %[1]s_step(s, in, out); }\n", name)
				put(b, dir, name+".h", files[name+".h"])
				put(b, dir, "tick.c", []byte(code))
				cmd := exec.Command(cc, "-O2", "-c", filepath.Join(dir, "tick.c"), "-o", filepath.Join(dir, "tick.o"))
				if out, err := cmd.CombinedOutput(); err != nil {
					b.Fatalf("%v\n%s", err, out)
				}
				theirs += cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
			}
			b.ReportMetric(float64(ours.Milliseconds())/float64(b.N), "gainwright-cpu-ms/op")
			b.ReportMetric(float64(theirs.Milliseconds())/float64(b.N), "cc-cpu-ms/op")
			b.ReportMetric(float64(ours)/float64(theirs), "ratio")
		})
	}
}

func put(b *testing.B, dir, name string, content []byte) {
	b.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), content, 0o644); err != nil {
		b.Fatal(err)
	}
}

// BenchmarkLoops measures how check and generate grow: 10 loops of ten steps in one spec against 100, in
// processor time, on one core: on more, those that are idle look for garbage sooner than need be, which would count.
func BenchmarkLoops(b *testing.B) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	defer debug.SetGCPercent(debug.SetGCPercent(seldom))
	few, many := []byte(loops(10)), []byte(loops(100))
	var short, long time.Duration
	for range b.N {
		for range 10 {
			short += whole(b, few) / 10
		}
		long += whole(b, many)
	}
	b.ReportMetric(short.Seconds()*1e3/float64(b.N), "10-loops-cpu-ms/op")
	b.ReportMetric(long.Seconds()*1e3/float64(b.N), "100-loops-cpu-ms/op")
	b.ReportMetric(float64(long)/float64(short), "ratio")
}

// BenchmarkHundredLoops is for profiles.
func BenchmarkHundredLoops(b *testing.B) {
	many := []byte(loops(100))
	for range b.N {
		whole(b, many)
	}
}

// whole is the processor time of one check and generate, garbage collection included.
func whole(b *testing.B, text []byte) time.Duration {
	b.Helper()
	start := processorTime(b)
	u := model.Compile("loops.yaml", text)
	if _, err := gen.Generate(u); err != nil {
		b.Fatalf("%v\n%v", err, u.Findings)
	}
	return processorTime(b) - start
}

func processorTime(b *testing.B) time.Duration {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// loops is a spec of n loops, each of ten steps.
func loops(n int) string {
	var inputs, steps, outputs, tuning strings.Builder
	for i := range n {
		fmt.Fprintf(&inputs, "  angle_%d: {raw: int16, unit: deg, counts_per_unit: 100, range: [-90, 90]}\n", i)
		fmt.Fprintf(&inputs, "  speed_%d: {raw: int16, unit: deg/s, counts_per_unit: 131, range: [-240, 240]}\n", i)
		fmt.Fprintf(&steps, `  rate_%[1]d: {kind: bias_at_rest, of: speed_%[1]d, limit: 25 deg/s, average: 256 ticks}
  inside_%[1]d: {kind: clamp, of: angle_%[1]d, limits: [-90, 90]}
  tilt_%[1]d: {kind: complementary, angle: inside_%[1]d, rate: rate_%[1]d, blend: 0.97}
  upright_%[1]d: {kind: window, of: tilt_%[1]d, limits: [-24, 24], release: [-10, 10]}
  held_%[1]d: {kind: hold, of: tilt_%[1]d, when: upright_%[1]d rises, limits: [-15, 15]}
  calm_%[1]d: {kind: low_pass, of: rate_%[1]d, time_constant: 0.05 s}
  wanted_%[1]d: {kind: low_pass, of: held_%[1]d, time_constant: 0.5 s}
  first_%[1]d: {kind: pid, target: wanted_%[1]d, measured: tilt_%[1]d, measured_rate: calm_%[1]d, enable: upright_%[1]d, unit: duty, kp: 41, ki: 650, kd: 1.5, limits: [-320, 320]}
  second_%[1]d: {kind: pid, target: 0, measured: tilt_%[1]d, unit: duty, kp: 3, ki: 0.4, limits: [-50, 50]}
  mix_%[1]d: {kind: sum, of: {first_%[1]d: 1, second_%[1]d: 0.5}}
`, i)
		fmt.Fprintf(&outputs, "  drive_%[1]d: {from: mix_%[1]d, raw: int16, unit: duty, limits: [-320, 320], least_effort: 20}\n", i)
		fmt.Fprintf(&tuning, "  first_%d.kp: [0, 60]\n", i)
	}
	return "controller: loops\nrate: 200 Hz\ntarget: avr8\ninputs:\n" + inputs.String() + "steps:\n" + steps.String() +
		"outputs:\n" + outputs.String() + "tuning:\n" + tuning.String()
}
