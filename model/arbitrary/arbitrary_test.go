package arbitrary_test

import (
	"fmt"
	"os"
	"sort"
	"strconv"
	"testing"
	"time"

	"gainwright/model"
	"gainwright/model/arbitrary"
	"gainwright/model/finding"
)

func compile(name string, src []byte) (u *model.Unit, crash string) {
	defer func() {
		if p := recover(); p != nil {
			crash = fmt.Sprint(p)
		}
	}()
	return model.Compile(name+".yaml", src), ""
}

func TestZZ(t *testing.T) {
	n, _ := strconv.Atoi(os.Getenv("N"))
	if n == 0 {
		n = 200
	}
	rules := map[string]int{}
	ex := map[string]string{}
	ok := 0
	var slow time.Duration
	for i := range n {
		s := arbitrary.New("r", uint64(i))
		t0 := time.Now()
		u, crash := compile("r", s.Text())
		d := time.Since(t0)
		if d > slow {
			slow = d
			fmt.Println("slow", i, d)
		}
		key := ""
		switch {
		case crash != "":
			key = "panic " + crash
		case u.OK():
			ok++
			continue
		default:
			for _, f := range u.Findings {
				if f.Severity == finding.Error {
					key = f.Rule
					ex[key] = fmt.Sprintf("seed %d: %v", i, f)
					break
				}
			}
		}
		if len(key) > 90 {
			key = key[:90]
		}
		rules[key]++
		if ex[key] == "" || crash != "" {
			ex[key] = fmt.Sprintf("seed %d", i)
		}
	}
	var keys []string
	for k := range rules {
		keys = append(keys, k)
	}
	sort.Slice(keys, func(a, b int) bool { return rules[keys[a]] > rules[keys[b]] })
	fmt.Printf("accepted %d of %d\n", ok, n)
	for _, k := range keys {
		fmt.Println(rules[k], k, "   ", ex[k])
	}
}
