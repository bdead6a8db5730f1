package faults

import (
	"flag"
	"fmt"
	"gainwright/model/tier"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

var (
	which  = flag.String("faults", "", "pattern of the faults to try, such as cert/ or all; empty: a handful")
	atOnce = flag.Int("at-once", 2, "faults to try at once")
	table  = flag.String("table", "", "file to append what became of each fault to")
)

const root = "../../.."

func rows(t *testing.T) []Fault {
	t.Helper()
	all, err := All()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// TestTablesAreCurrent: every row can be applied and says what it must, and each part of the tool has its dozen.
func TestTablesAreCurrent(t *testing.T) {
	areas, names := map[string]int{}, map[string]bool{}
	for _, f := range rows(t) {
		key := f.Area + "/" + f.Name
		if _, err := f.Applied(root); err != nil {
			t.Errorf("%s: %v", key, err)
		}
		if f.Name == "" || f.Mistake == "" || len(f.Tests) == 0 || names[key] {
			t.Errorf("%s: a name of its own, a mistake and tests are expected", key)
		}
		if _, err := regexp.Compile(f.Run); err != nil {
			t.Errorf("%s: %v", key, err)
		}
		for _, p := range f.Tests {
			if found, _ := filepath.Glob(filepath.Join(root, p, "*_test.go")); len(found) == 0 {
				t.Errorf("%s: %s has no tests", key, p)
			}
		}
		names[key] = true
		areas[f.Area]++
	}
	for _, a := range []string{"scale", "bound", "cert", "c", "golang"} {
		if areas[a] < 12 {
			t.Errorf("%d faults in %s, 12 are expected", areas[a], a)
		}
	}
	if len(names) < 60 {
		t.Errorf("%d faults, 60 are expected", len(names))
	}
}

// TestFaultsAreCaught tries a handful of faults; -faults all tries all of them, which takes some ten minutes, and wants
// 95 of 100 caught. The tests must pass without the faults.
func TestFaultsAreCaught(t *testing.T) {
	if tier.Fault() {
		t.Skip("a fault's own tests are not tried with faults")
	}
	if *which == "" {
		tier.Slow(t)
	}
	if _, err := exec.LookPath("go"); err != nil {
		t.Fatal("the Go tool is needed")
	}
	dir, err := filepath.Abs(root)
	if err != nil {
		t.Fatal(err)
	}
	pattern, err := regexp.Compile(strings.Replace("^"+*which, "^all", "", 1))
	if err != nil {
		t.Fatal(err)
	}
	var tried []Fault
	for _, f := range rows(t) {
		if *which == "" && f.Quick || *which != "" && pattern.MatchString(f.Area+"/"+f.Name) {
			tried = append(tried, f)
		}
	}
	if len(tried) == 0 {
		t.Fatalf("no fault has a name like %s", *which)
	}
	sound := map[string]bool{}
	for _, f := range tried {
		key := fmt.Sprint(f.Tests, f.Run)
		if sound[key] {
			continue
		}
		sound[key] = true
		switch r, err := Sound(t.Context(), dir, f); {
		case err != nil:
			t.Fatal(err)
		case r.Outcome != Missed:
			t.Fatalf("%s: the tests %v %s do not pass as they are:\n%s", f.Name, f.Tests, f.Run, r.Output)
		}
	}
	results := make([]Result, len(tried))
	var wait sync.WaitGroup
	free := make(chan bool, *atOnce)
	for i, f := range tried {
		wait.Add(1)
		free <- true
		go func() {
			defer wait.Done()
			var err error
			if results[i], err = Try(t.Context(), dir, f); err != nil {
				t.Errorf("%s/%s: %v", f.Area, f.Name, err)
			}
			t.Logf("%-6s %5v  %s/%s: %s", results[i].Outcome, results[i].Took.Round(time.Second), f.Area, f.Name, results[i].By)
			note(t, f, results[i])
			<-free
		}()
	}
	wait.Wait()
	count := map[Outcome]int{}
	for i, r := range results {
		count[r.Outcome]++
		f := tried[i]
		switch {
		case r.Outcome == Wrong:
			t.Errorf("%s/%s does not build, or no test runs: mend the row\n%s", f.Area, f.Name, r.Output)
		case r.Outcome == Missed && *which == "":
			t.Errorf("%s/%s: no test of %v notices that %s", f.Area, f.Name, f.Tests, f.Mistake)
		case r.Outcome == Missed:
			t.Logf("missed: %s/%s: no test of %v notices that %s", f.Area, f.Name, f.Tests, f.Mistake)
		}
	}
	caught := count[Caught] + count[Slow]
	t.Logf("%d of %d faults caught, %d of them by running into the time limit", caught, len(tried), count[Slow])
	if caught*100 < len(tried)*95 {
		t.Errorf("%d of %d faults are caught, 95 of 100 are expected", caught, len(tried))
	}
}

var writing sync.Mutex

// note appends an outcome to the file of -table.
func note(t *testing.T, f Fault, r Result) {
	if *table == "" {
		return
	}
	writing.Lock()
	defer writing.Unlock()
	file, err := os.OpenFile(*table, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	if err != nil {
		t.Error(err)
		return
	}
	defer file.Close()
	if _, err := fmt.Fprintf(file, "%s\t%s\t%s\t%s\t%v\n", f.Area, f.Name, r.Outcome, r.By, r.Took); err != nil {
		t.Error(err)
	}
	if r.Outcome == Missed || r.Outcome == Wrong {
		lines := strings.Split(strings.TrimSpace(r.Output), "\n")
		fmt.Fprintf(file, "\t%s\n", strings.Join(slices.Compact(lines[:min(len(lines), 6)]), "\n\t"))
	}
}
