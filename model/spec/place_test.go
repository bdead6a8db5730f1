package spec_test

import (
	"strings"
	"testing"

	"gainwright/model/spec"
)

// TestInside: each byte of a text is found in the source again, however YAML writes it.
func TestInside(t *testing.T) {
	for name, written := range map[string]string{
		"plain":         "    value: a + bee * c1\n",
		"flow":          "    value:    a + bee * c1   # a comment\n",
		"double":        "    value: \"a + bee * c1\"\n",
		"single":        "    value: 'a + bee * c1'\n",
		"plain lines":   "    value: a +\n      bee\n      * c1\n",
		"double lines":  "    value: \"a +\n\n      bee\n      * c1\"\n",
		"joined lines":  "    value: \"a + be\\\n      e * c1\"\n",
		"escapes":       "    value: \"\\x61 + b\\u0065e * c1\"\n",
		"folded":        "    value: >\n      a + bee\n      * c1\n",
		"folded, chomp": "    value: >-\n      a + bee\n      * c1\n",
		"line ends":     "    value: a +\r\n      bee * c1\r\n",
	} {
		src := "controller: c\nsteps:\n  s:\n    kind: clamp\n" + written
		s, _ := spec.Read("c.yaml", []byte(src))
		v := s.Steps[0].Args[0].Value
		if strings.Join(strings.Fields(v.Text), " ") != "a + bee * c1" {
			t.Errorf("%s: the text is %q", name, v.Text)
			continue
		}
		lines := strings.Split(strings.ReplaceAll(src, "\r\n", "\n"), "\n")
		for _, part := range []string{"a", "+", "bee", "*", "c1"} {
			at := strings.Index(v.Text, part)
			pos := s.Inside(v, at)
			rest := lines[pos.Line-1][pos.Col-1:]
			if name == "escapes" {
				rest = strings.NewReplacer("\\x61", "a", "\\u0065", "e").Replace(rest)
			}
			if name == "joined lines" && part == "bee" {
				rest += "e"
			}
			if rest = strings.TrimSuffix(rest, "\\e") + "e"; !strings.HasPrefix(strings.ReplaceAll(rest, "be\\", "bee"), part) {
				t.Errorf("%s: %s is told at %s, where %q stands", name, part, pos, rest)
			}
		}
		if end := s.Inside(v, len(v.Text)); end.Line < 1 || end.Line > len(lines) {
			t.Errorf("%s: the end is told at %s", name, end)
		}
	}
}
