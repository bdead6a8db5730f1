package proof

import (
	"bufio"
	"bytes"
	"fmt"
	"maps"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// alarmLines are the alarms that Eva raises, each on one line.
func alarmLines(out []byte) []string {
	var list []string
	s := bufio.NewScanner(bytes.NewReader(out))
	s.Buffer(nil, 1<<24)
	open := false
	for s.Scan() {
		switch l := s.Text(); {
		case strings.HasPrefix(l, "[eva:alarm]"):
			list = append(list, strings.TrimSpace(strings.TrimPrefix(l, "[eva:alarm]")))
			open = true
		case open && strings.HasPrefix(l, "  "):
			list[len(list)-1] += " " + strings.TrimSpace(l)
		default:
			open = false
		}
	}
	return list
}

// quote puts the line that an alarm is about behind it.
func (r *Result) quote(files map[string][]byte) {
	for i, a := range r.Alarms {
		name, rest, _ := strings.Cut(a, ":")
		number, _, _ := strings.Cut(rest, ":")
		n, err := strconv.Atoi(number)
		lines := strings.Split(string(files[name]), "\n")
		if err == nil && 0 < n && n <= len(lines) {
			r.Alarms[i] += " In: " + strings.TrimSpace(lines[n-1])
		}
	}
}

// verdicts are what the runs say of each property.
type verdicts map[string]string

// read reads the table of what was to be proven. What a part takes on trust, because another part
// proves it, and what it does not come to, is left to that part.
func (v verdicts) read(table string, trusted []string) error {
	content, err := os.ReadFile(table)
	if err != nil {
		return fmt.Errorf("%s wrote no table of properties: %w", Tool, err)
	}
	for i, row := range strings.Split(strings.TrimSpace(string(content)), "\n") {
		cells := strings.Split(row, "\t")
		if len(cells) < 7 {
			return fmt.Errorf("%s wrote a table of another form: %q", Tool, row)
		}
		if i == 0 || strings.HasPrefix(cells[0], "FRAMAC_SHARE") {
			continue
		}
		kind, status := cells[4], cells[5]
		property := fmt.Sprintf("%s:%s: %s %s: %s", cells[1], cells[2], cells[3], kind, cells[6])
		switch old := v[property]; {
		case kind == "user hypothesis" && status == "Considered valid": // an admit: Admits has looked at it
		case status == "Dead" || slices.Contains(trusted, cells[3]):
			if old == "" {
				v[property] = "Never reached"
			}
		case old == "" || old == "Never reached" || old == "Valid":
			v[property] = status
		}
	}
	return nil
}

// add counts them.
func (v verdicts) add(r *Result) {
	for _, property := range slices.Sorted(maps.Keys(v)) {
		if v[property] == "Valid" {
			r.Proven++
			if strings.Contains(property, " user assertion: ") {
				r.Ranges++
			}
		} else {
			r.Open = append(r.Open, strings.ToLower(v[property])+": "+property)
		}
	}
}

// functions are those that a header defines.
func functions(header []byte) []string {
	var names []string
	for _, f := range regexp.MustCompile(`(?m)^static (?:inline|[A-Z0-9_]+_SELDOM) \w+ (\w+)\(`).FindAllSubmatch(header, -1) {
		names = append(names, string(f[1]))
	}
	return names
}

// coverage is how many statements of a function were reached, and how many it has; the best of all runs.
type coverage map[string][2]int

func (k coverage) read(out []byte) {
	for _, f := range regexp.MustCompile(`(?m)^  (\w+): (\d+) stmts out of (\d+) `).FindAllSubmatch(out, -1) {
		reached, _ := strconv.Atoi(string(f[2]))
		of, _ := strconv.Atoi(string(f[3]))
		if best, ok := k[string(f[1])]; !ok || reached > best[0] {
			k[string(f[1])] = [2]int{reached, of}
		}
	}
}

// extreme is the name of a primitive that takes one of two values.
var extreme = regexp.MustCompile(`_(min|max)[0-9]+$`)

func (k coverage) add(r *Result, functions []string) {
	for _, f := range functions {
		c, ok := k[f]
		if ok && c[0] > 0 && extreme.MatchString(f) { // where ranges lie apart, one of its two ways is never taken
			c[1] = c[0]
		}
		r.Reached += c[0]
		r.Statements += c[1]
		if !ok || c[0] < c[1] {
			r.Unreached = append(r.Unreached, fmt.Sprintf("%s: %d of %d statements reached", f, c[0], c[1]))
		}
	}
}

// tail is the end of what a tool said.
func tail(out []byte) string {
	const most = 600
	return strings.TrimSpace(string(out[max(0, len(out)-most):]))
}
