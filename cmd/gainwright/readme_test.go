package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// A block of the README that is captured stands behind one of these marks:
//
//	<!-- run: gainwright check cart.yaml | 12 lines from signals -->   what a command prints (or a part of it)
//	<!-- file: cart/cart.h | 20 lines from tilt (complementary) -->   part of a file that an earlier command wrote
//	<!-- spec: incubator -->                                          an embedded starter, whole
var mark = regexp.MustCompile("(?m)^<!-- (run|file|spec): ([^|\n]*?)(?: \\| (\\d+) lines(?: from ([^\n]*?))?)? -->\n```[a-z]*\n((?s:.*?))```\n")

// TestReadme runs what the README shows and compares.
func TestReadme(t *testing.T) {
	path, err := filepath.Abs("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	readme, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("../../testdata/readme")); err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	blocks := 0
	got := mark.ReplaceAllStringFunc(string(readme), func(block string) string {
		blocks++
		m := mark.FindStringSubmatchIndex(block)
		part := func(i int) string {
			if m[2*i] < 0 {
				return ""
			}
			return block[m[2*i]:m[2*i+1]]
		}
		text := captured(t, part(1), part(2))
		if n := part(3); n != "" {
			text = excerpt(t, text, n, part(4))
		}
		return block[:m[10]] + text + block[m[11]:]
	})
	if blocks < 5 {
		t.Errorf("%d captured blocks were found in the README, at least 5 are expected", blocks)
	}
	if got == string(readme) {
		return
	}
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	t.Errorf("the README shows what the tool no longer prints; accept with: go test ./cmd/gainwright -run Readme -update\n%s", cmp.Diff(string(readme), got))
}

func captured(t *testing.T, what, text string) string {
	t.Helper()
	if what != "run" {
		if what == "spec" {
			text += ".yaml"
		}
		b, err := os.ReadFile(text)
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	var out bytes.Buffer
	args := strings.Fields(text)
	code := Do(args[1:], strings.NewReader(""), &out, &out)
	if code != good {
		return fmt.Sprintf("%s[exit code %d]\n", out.String(), code)
	}
	return out.String()
}

// excerpt is n lines, from the first one that holds a text.
func excerpt(t *testing.T, text, n, from string) string {
	t.Helper()
	count, err := strconv.Atoi(n)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.SplitAfter(text, "\n")
	start := 0
	for i, l := range lines {
		if from != "" && strings.Contains(l, from) {
			start = i
			break
		}
	}
	if from != "" && !strings.Contains(lines[start], from) {
		t.Fatalf("no line holds %q in:\n%s", from, text)
	}
	return strings.Join(lines[start:min(start+count, len(lines))], "")
}
