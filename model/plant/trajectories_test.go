package plant

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gainwright/model/spec"
)

const (
	motorText = `  kind: dc_motor
  inertia: %s
  resistance: 2 Ohm
  torque_constant: 20 mN.m/A
%s  actuators: {voltage: {from: drive, full: 10 V, gives: %s}}
`
	geared  = "  rotor_inertia: 2 g.cm^2\n  gear: 20\n"
	sagging = "  battery: {voltage: 7.4 V, empty: 6 V, capacity: 2 A.s, resistance: 0.8 Ohm, load: 0.1 A}\n"

	cartText = `  kind: two_wheel_pendulum
  body_mass: 0.9 kg
  axle_to_centre: 80 mm
  wheel_mass: 34 g
  wheel_radius: 33 mm
  gear: 30
  rotor_inertia: 3 g.cm^2
  motor_resistance: 4 Ohm
  torque_constant: 6.5 mN.m/A
  axle_friction: 0.2 mN.m.s
  imu_height: 40 mm
%s  actuators: {voltage: {from: drive, full: 10 V, gives: %s}}
`
	driveText = `  kind: differential_drive
  mass: 1.2 kg
  yaw_inertia: 0.006 kg.m^2
  track: 160 mm
  wheel_radius: 33 mm
  gear: 30
  wheel_inertia: 200 g.cm^2
  rotor_inertia: 3 g.cm^2
  motor_resistance: 4 Ohm
  torque_constant: 6.5 mN.m/A
  rolling_friction: 0.05 N.s/m
  turning_friction: 1 mN.m.s
%s  actuators: {left_voltage: {from: drive, full: 10 V, gives: 10 V%s}, right_voltage: {from: other, full: 10 V, gives: 10 V%[2]s}}
`
	chainText = `  kind: %s
  inputs: {input: V}
  outputs: {level: V%s}
%s  actuators: {input: {from: drive, full: 10 V, gives: 10 V}}
`
)

type trajectory struct {
	table  string
	hz     string
	plant  string
	start  map[string]float64
	within float64
}

// trajectories are the tables of testdata/reference/plants: rate in Hz and the plant that each is of. within is the largest deviation
// allowed, as a part of the largest value of a column: 1e-6 where nothing strikes or sticks.
var trajectories = []trajectory{
	{"motor_dry", "50", fmt.Sprintf(motorText, "10 g.cm^2", "  static_friction: 2 mN.m\n", "10 V"), nil, 1e-6},
	{"motor_static", "100", fmt.Sprintf(motorText, "40 g.cm^2", "  static_friction: 6 mN.m\n  sliding_friction: 2 mN.m\n  viscous_friction: 2e-6 N.m.s\n", "10 V"), nil, 1e-6},
	{"motor_loop", "50", fmt.Sprintf(motorText, "10 g.cm^2", "  static_friction: 2 mN.m\n", "10 V"), nil, 1e-6},
	{"motor_backlash", "200", fmt.Sprintf(motorText, "2e-4 kg.m^2", geared+"  viscous_friction: 2e-4 N.m.s\n  backlash: 3 deg\n", "10 V"), nil, 1e-6},
	{"motor_backlash_dry", "200", fmt.Sprintf(motorText, "2e-4 kg.m^2", geared+"  static_friction: 20 mN.m\n  sliding_friction: 12 mN.m\n  backlash: 2 deg\n", "10 V"), nil, 1e-6},
	{"motor_inductance_dry", "100", fmt.Sprintf(motorText, "40 g.cm^2", "  static_friction: 4 mN.m\n  inductance: 2e-3 H\n", "10 V"), nil, 1e-6},
	{"motor_limit", "200", fmt.Sprintf(motorText, "40 g.cm^2", "", "10 V, current_limit: 1.2 A"), nil, 1e-6},
	{"motor_limit_inductance", "200", fmt.Sprintf(motorText, "40 g.cm^2", "  inductance: 1e-3 H\n", "10 V, current_limit: 1.2 A"), nil, 1e-6},
	{"motor_battery", "50", fmt.Sprintf(motorText, "40 g.cm^2", "  static_friction: 2 mN.m\n  viscous_friction: 5e-6 N.m.s\n"+sagging, "battery"), nil, 1e-6},
	{"motor_battery_limit", "50", fmt.Sprintf(motorText, "80 g.cm^2", sagging, "battery, current_limit: 1 A"), nil, 1e-6},
	{"heater", "1/120", "  kind: heater\n  heat_capacity: 2.5 kJ/K\n  heat_loss: 1.2 W/K\n  ambient: 15 degC\n  actuators: {heat: {from: drive, full: 10 V, gives: 60 W}}\n", nil, 1e-6},
	{"pendulum_falls", "100", fmt.Sprintf(cartText, "  rolling_friction: 0.1 mN.m.s\n", "10 V"), map[string]float64{"pitch": -0.05}, 1e-6},
	{"pendulum_stands", "200", fmt.Sprintf(cartText, "", "10 V"), map[string]float64{"pitch": -0.06}, 1e-6},
	{"pendulum_dry", "200", fmt.Sprintf(cartText, "  static_friction: 6 mN.m\n  sliding_friction: 4 mN.m\n", "10 V"), map[string]float64{"pitch": -0.06}, 1e-6},
	{"pendulum_backlash", "200", fmt.Sprintf(cartText, "  backlash: 2 deg\n", "10 V"), map[string]float64{"pitch": -0.06}, 1e-6},
	{"pendulum_backlash_dry", "200", fmt.Sprintf(cartText, "  backlash: 1 deg\n  static_friction: 4 mN.m\n", "10 V"), map[string]float64{"pitch": -0.06}, 1e-6},
	{"pendulum_battery", "200", fmt.Sprintf(cartText, "  battery: {voltage: 7.7 V, empty: 6.2 V, capacity: 3 A.s, resistance: 0.35 Ohm, load: 0.12 A}\n", "battery"), map[string]float64{"pitch": -0.06}, 1e-6},
	{"pendulum_limit", "100", fmt.Sprintf(cartText, "", "10 V, current_limit: 0.7 A"), map[string]float64{"pitch": -0.02}, 1e-6},
	{"drive_plain", "100", fmt.Sprintf(driveText, "", ""), nil, 1e-6},
	{"drive_dry", "100", fmt.Sprintf(driveText, "  static_friction: 12 mN.m\n  sliding_friction: 8 mN.m\n", ""), nil, 1e-6},
	{"drive_backlash", "100", fmt.Sprintf(driveText, "  backlash: 2 deg\n", ""), nil, 1e-6},
	{"drive_backlash_dry", "100", fmt.Sprintf(driveText, "  backlash: 2 deg\n  static_friction: 10 mN.m\n", ""), nil, 1e-6},
	{"drive_battery", "100", strings.ReplaceAll(fmt.Sprintf(driveText, "  static_friction: 10 mN.m\n  battery: {voltage: 7.7 V, empty: 6.2 V, capacity: 2 A.s, resistance: 0.5 Ohm, load: 0.12 A}\n", ""), "gives: 10 V", "gives: battery"), nil, 1e-6},
	{"drive_limit", "100", fmt.Sprintf(driveText, "", ", current_limit: 0.6 A"), nil, 1e-6},
	{"sensors_pendulum", "200", fmt.Sprintf(cartText, "", "10 V") + `  sensors:
    forward: {of: accel_forward, mounting_angle: 3 deg, cross_axis: 4 %, vibration: 5 m/s^2, vibration_speed: 600 rad/s}
    up: {of: accel_up, mounting_angle: 3 deg, cross_axis: 4 %, vibration: 3 m/s^2, vibration_speed: 600 rad/s}
    rate: {of: pitch_rate, mounting_angle: 3 deg}
`, map[string]float64{"pitch": -0.1}, 1e-6},
	{"sensors_drive", "100", fmt.Sprintf(driveText, "", "") + `  sensors:
    rate: {of: yaw_rate, mounting_angle: -10 deg, vibration: 0.3 rad/s, vibration_speed: 600 rad/s}
`, nil, 1e-6},
	{"first_order", "100", fmt.Sprintf(chainText, "first_order", "", "  gain: 2.5\n  time_constant: 70 ms\n"), nil, 1e-6},
	{"double_integrator", "100", fmt.Sprintf(chainText, "double_integrator", "", "  gain: 3 1/s^2\n"), nil, 1e-6},
	{"resonance", "100", fmt.Sprintf(chainText, "resonance", "", "  gain: 1.5\n  frequency: 6 Hz\n  damping: 0.05\n"), nil, 1e-6},
	{"transfer_function", "100", fmt.Sprintf(chainText, "transfer_function", "", "  numerator: [2, 30]\n  denominator: [1, 4, 50, 60]\n"), nil, 1e-6},
	{"state_space", "100", fmt.Sprintf(chainText, "state_space", ", slope: V", "  a: [[-1, 2], [-30, -0.5]]\n  b: [[0], [40]]\n  c: [[1, 0], [1, 0.5]]\n"), nil, 1e-6},
}

const twoOutputs = `controller: probe
rate: 100 Hz
inputs:
  forward: {raw: int32, unit: m/s^2, counts_per_unit: 10000000}
  up: {raw: int32, unit: m/s^2, counts_per_unit: 10000000}
  rate: {raw: int32, unit: rad/s, counts_per_unit: 10000000}
  seen: {raw: int16, unit: V, counts_per_unit: 1000}
steps:
  effort: {kind: sum, of: {seen: 1}}
outputs:
  drive: {from: effort, raw: int16, unit: V, counts_per_unit: 100}
  other: {from: effort, raw: int16, unit: V, counts_per_unit: 100}
plant:
`

func readPlantAt(t *testing.T, hz, section string) *Plant {
	t.Helper()
	if !strings.Contains(section, "sensors:") {
		section += "  sensors: {}\n"
	}
	s, found := spec.Read("probe.yaml", []byte(twoOutputs+section))
	if found.Failed() {
		t.Fatal(found)
	}
	if _, ok := s.Rate.SetString(hz); !ok {
		t.Fatal(hz)
	}
	p, found := Read(s)
	if found.Failed() || p == nil {
		t.Fatalf("plant not read: %v", found)
	}
	return p
}

// findings are those of a plant below two outputs, one a line, each with a place and a remedy.
func findings(t *testing.T, section string) string {
	t.Helper()
	s, found := spec.Read("probe.yaml", []byte(twoOutputs+section))
	if found.Failed() {
		t.Fatal(found)
	}
	p, found := Read(s)
	if p != nil {
		t.Errorf("read: %s", section)
	}
	var said strings.Builder
	for _, f := range found {
		said.WriteString(f.String() + "\n")
		if f.Pos.Line == 0 || f.Remedy == "" {
			t.Errorf("no place or no remedy: %v", f)
		}
	}
	return said.String()
}

// readTable returns the columns' names and the rows of a table, its comments left out.
func readTable(t *testing.T, name string) (columns []string, rows [][]float64) {
	t.Helper()
	f, err := os.Open(filepath.Join("../../testdata/reference/plants", name+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil || len(all) < 10 {
		t.Fatal(name, len(all), err)
	}
	for _, line := range all[1:] {
		row := make([]float64, len(line))
		for i, cell := range line {
			if row[i], err = strconv.ParseFloat(cell, 64); err != nil {
				t.Fatal(name, err)
			}
		}
		rows = append(rows, row)
	}
	return all[0], rows
}

// follow runs a plant under the inputs of a table and returns its quantities at the ticks, in the order of the table's columns.
func follow(t *testing.T, p *Plant, start map[string]float64, columns []string, rows [][]float64) (seen [][]float64) {
	t.Helper()
	r, noise := p.NewRig(start), p.NewNoise(1)
	loads, outputs, raw := p.rest(), make([]float64, 2), make([]int64, 4)
	for _, row := range rows {
		r.Sense(noise.Next(), raw)
		line := slices.Clone(row)
		for i, name := range columns {
			switch kind, of, _ := strings.Cut(name, " "); {
			case name == "tick":
			case kind == "out":
				outputs[slices.Index([]string{"drive", "other"}, of)] = row[i]
			case kind == "load":
				loads[p.Input(of)] = row[i]
			case kind == "reads":
				line[i] = float64(raw[slices.Index([]string{"forward", "up", "rate"}, of)]) * 1e-7
			default:
				line[i] = r.Quantities[p.Quantity(name)]
			}
		}
		seen = append(seen, line)
		r.Apply(outputs)
		r.Advance(0, loads)
	}
	if r.solver.strained > 0 {
		t.Errorf("%d pieces took too many steps", r.solver.strained)
	}
	return seen
}

// apart is the largest difference of each column, as a part of its largest value, and the row where the worst one is.
func apart(a, b [][]float64) (worst float64, column, row int) {
	for i := range a[0] {
		most, off, at := 1e-9, 0.0, 0
		for k := range a {
			most = math.Max(most, math.Abs(a[k][i]))
			if d := math.Abs(a[k][i] - b[k][i]); !(d <= off) {
				off, at = d, k
			}
		}
		if off/most > worst {
			worst, column, row = off/most, i, at
		}
	}
	return worst, column, row
}

// Every kind of plant with each effect against trajectories from first principles (testdata/reference/make_plants.py).
func TestTrajectories(t *testing.T) {
	for _, c := range trajectories {
		t.Run(c.table, func(t *testing.T) {
			columns, rows := readTable(t, c.table)
			seen := follow(t, readPlantAt(t, c.hz, c.plant), c.start, columns, rows)
			off, column, row := apart(rows, seen)
			t.Logf("%s: at most %.2g of the largest value off", c.table, off)
			if off > c.within {
				t.Errorf("%s at tick %d is %.12g, expected %.12g: off by %.2g of the largest, expected %.0e", columns[column], row, seen[row][column], rows[row][column], off, c.within)
			}
		})
	}
	tables, _ := filepath.Glob("../../testdata/reference/plants/*.csv")
	if len(tables) != len(trajectories) {
		t.Errorf("%d tables, %d of them used", len(tables), len(trajectories))
	}
	for _, k := range Kinds() {
		if !slices.ContainsFunc(trajectories, func(c trajectory) bool { return strings.Contains(c.plant, "kind: "+k.Name+"\n") }) {
			t.Errorf("%s is held by no table", k.Name)
		}
	}
}

// Half the steps, by a tolerance 32 times as strict, and steps of an eighth of a tick at most, change nothing beyond what is allowed.
func TestHalfTheStep(t *testing.T) {
	for _, c := range trajectories {
		columns, rows := readTable(t, c.table)
		p := readPlantAt(t, c.hz, c.plant)
		seen := follow(t, p, c.start, columns, rows)
		strict, short := *p, *p
		strict.tolerance /= 32
		short.longest = p.period() / 8
		for what, other := range map[string]*Plant{"strict": &strict, "short": &short} {
			off, column, row := apart(seen, follow(t, other, c.start, columns, rows))
			t.Logf("%s, %s: %.2g of the largest value", c.table, what, off)
			if off > c.within {
				t.Errorf("%s, %s: %s at tick %d moves by %.2g of the largest value", c.table, what, columns[column], row, off)
			}
		}
	}
}
