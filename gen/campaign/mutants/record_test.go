package mutants

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
)

// source is a C text that the tests compile against the header, and how they run the program.
type source struct {
	file, text string // and what is in it
	runs       []run
}

// run is one run of a program: its arguments, and the files of what it was sent and of what it sent back.
type run struct {
	args          []string
	sent, gotBack string
}

// recordingCC stands in for the compiler: it compiles, keeps the text, and puts in place of the program one that runs it and keeps what goes in
// and out. The tests run one thing after the other.
const recordingCC = `#!/bin/sh
set -e
dir="$RECORDS/$(ls "$RECORDS" | wc -l)"
mkdir "$dir"
for a; do
	if [ "$before" = -o ]; then to=$a; fi
	before=$a
done
"$REAL_CC" "$@"
cp "$before" "$dir/source.c"
mv "$to" "$dir/program"
cat > "$to" <<EOF
#!/bin/sh
run="$dir/run\$(ls "$dir" | grep -c args)"
printf '%s\n' "\$@" > "\$run.args"
cat > "\$run.sent"
"$dir/program" "\$@" < "\$run.sent" > "\$run.back" || exit
cat "\$run.back"
EOF
chmod +x "$to"
`

// record runs the tests on the header as it is, which they must pass, and returns what they compiled and ran: texts that are alike once, the one
// compiled first in front.
func (b *bench) record(host string, short bool) []*source {
	bin, records := b.t.TempDir(), b.t.TempDir()
	real, err := exec.LookPath("cc")
	if err == nil {
		err = os.WriteFile(filepath.Join(bin, "cc"), []byte(recordingCC), 0o755)
	}
	if err != nil {
		b.t.Error(err)
		return nil
	}
	args := []string{"-test.run", wanted, "-test.timeout", "200s"}
	if short {
		args = append(args, "-test.short")
	}
	said, cpu, err := timed(b.t, host, []string{"PATH=" + bin + string(os.PathListSeparator) + os.Getenv("PATH"), "RECORDS=" + records, "REAL_CC=" + real}, b.tests, args...)
	b.cpu.Add(int64(cpu))
	if err != nil {
		b.t.Errorf("the header as it is does not pass: %v\n%s", err, said)
		return nil
	}
	var out []*source
	dirs, err := filepath.Glob(filepath.Join(records, "*"))
	if err != nil || len(dirs) == 0 {
		b.t.Errorf("the tests compiled nothing: %v", err)
	}
	for n := range dirs {
		dir := filepath.Join(records, strconv.Itoa(n))
		text, err := os.ReadFile(filepath.Join(dir, "source.c"))
		if err != nil {
			b.t.Error(err)
			continue
		}
		at := slices.IndexFunc(out, func(p *source) bool { return p.text == string(text) })
		if at < 0 {
			at = len(out)
			out = append(out, &source{file: filepath.Join(dir, "source.c"), text: string(text)})
		}
		for i := 0; ; i++ {
			name := filepath.Join(dir, "run"+strconv.Itoa(i))
			args, err := os.ReadFile(name + ".args")
			if err != nil {
				break
			}
			out[at].runs = append(out[at].runs, run{strings.Fields(string(args)), name + ".sent", name + ".back"})
		}
	}
	return out
}

// again runs a program of a mutant as one of the header as it is was run.
func (b *bench) again(program string, r run) fate {
	ctx, cancel := context.WithTimeout(b.t.Context(), 100*time.Second)
	defer cancel()
	sent, err := os.Open(r.sent)
	if err != nil {
		b.t.Error(err)
		return stopped
	}
	defer sent.Close()
	back, err := os.Open(r.gotBack)
	if err != nil {
		b.t.Error(err)
		return stopped
	}
	defer back.Close()
	cmd := exec.CommandContext(ctx, program, r.args...)
	cmd.Stdin, cmd.Stdout = sent, &expecting{back}
	err = cmd.Run()
	b.cpu.Add(int64(took(cmd)))
	var exit *exec.ExitError
	switch {
	case ctx.Err() != nil:
		return stopped
	case errors.As(err, &exit), errors.Is(err, errOther):
		return failed
	case err != nil:
		b.t.Errorf("%s: %v", program, err)
		return stopped
	}
	if n, _ := io.ReadFull(back, make([]byte, 1)); n > 0 {
		return failed // less than that came back
	}
	return survived
}

var errOther = errors.New("something else came back")

// expecting takes what is in a file and nothing else: the program that writes something else ends at once.
type expecting struct{ want io.Reader }

func (e *expecting) Write(got []byte) (int, error) {
	want := make([]byte, len(got))
	if _, err := io.ReadFull(e.want, want); err != nil || !bytes.Equal(got, want) {
		return 0, errOther
	}
	return len(got), nil
}
