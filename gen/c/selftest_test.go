package c

import (
	"regexp"
	"testing"
)

// TestSelfTestNamesTheTick: outputs that are wrong from the first tick on make the self-test say 1.
func TestSelfTestNamesTheTick(t *testing.T) {
	u := cart(t)
	dir := emit(t, u)
	header := string(Header(u))
	wrong := regexp.MustCompile(`( out->\w+ += )([^;]+);`).ReplaceAllString(header, "$1(int16_t)(1 + ($2));")
	if wrong == header {
		t.Fatal("no output is written")
	}
	main := "#include <stdio.h>\n#include \"cart_vectors.h\"\nint main(void) { printf(\"%u\", (unsigned)cart_selftest()); return 0; }\n"
	write(t, dir, map[string][]byte{"main.c": []byte(main), "cart.h": []byte(wrong)})
	if out, err := run(dir, nil, "cc", "-std=c99", "main.c", "-o", "main"); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if out, err := run(dir, nil, "./main"); err != nil || string(out) != "1" {
		t.Errorf("the self-test says %s, %v", out, err)
	}
}
