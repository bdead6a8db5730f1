package report

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"html"
	"image"
	"image/color"
	"image/png"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"gainwright/model/tier"
	"gainwright/templates"
)

// browser is a Chromium to look at pages with.
type browser struct{ path string }

func findBrowser(t *testing.T) browser {
	t.Helper()
	return browser{tier.Tool(t, "chromium", "chromium")}
}

// open opens an address and returns what was printed and what the console said.
func (b browser) open(t *testing.T, address string, flags ...string) (out, console string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	args := []string{"--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
		"--disable-component-update", "--disable-sync", "--hide-scrollbars", "--allow-file-access-from-files", "--enable-logging=stderr",
		"--virtual-time-budget=20000", "--user-data-dir=" + t.TempDir()}
	cmd := exec.CommandContext(ctx, b.path, append(append(args, flags...), address)...)
	var stdout, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	if err := cmd.Run(); err != nil {
		t.Fatalf("%v\n%s", err, stderr.String())
	}
	for line := range strings.Lines(stderr.String()) {
		if strings.Contains(line, "CONSOLE") {
			console += line
		}
	}
	return stdout.String(), console
}

// seen is what a page looks like in a frame of a given width.
type seen struct {
	Page     string
	Width    int
	Pictures int
	Hidden   []string // pictures that cannot be seen whole, and why
	Sideways int      // how far the page scrolls sideways, in pixels
	Smallest float64  // text in a picture, in pixels
}

// viewer shows each page, unchanged, in frames of both widths and measures there.
const viewer = `<!DOCTYPE html><meta charset="utf-8"><link rel="icon" href="data:,"><body><pre id="seen"></pre><script>
const look = f => {
  const w = f.contentWindow, d = w.document, e = d.documentElement, hidden = [];
  let smallest = 1e9;
  const pictures = [...d.querySelectorAll("svg")];
  for (const p of pictures) {
    const r = p.getBoundingClientRect(), name = p.querySelector("title").textContent;
    if (r.width < 1 || r.height < 1 || !p.checkVisibility()) hidden.push(name + ": no size");
    if (r.left < 0 || r.right > e.clientWidth || r.top + w.scrollY < 0 || r.bottom + w.scrollY > e.scrollHeight) hidden.push(name + ": outside the page");
    for (const t of p.querySelectorAll("text")) {
      const q = t.getBoundingClientRect();
      if (q.left < r.left - 1 || q.right > r.right + 1 || q.top < r.top - 1 || q.bottom > r.bottom + 1) hidden.push(name + ": cut off: " + t.textContent);
      smallest = Math.min(smallest, parseFloat(w.getComputedStyle(t).fontSize) * r.width / p.viewBox.baseVal.width);
    }
  }
  return {Page: f.dataset.page, Width: e.clientWidth, Pictures: pictures.length, Hidden: hidden, Sideways: e.scrollWidth - e.clientWidth, Smallest: smallest};
};
window.onload = () => document.getElementById("seen").textContent = JSON.stringify([...document.querySelectorAll("iframe")].map(look));
</script>
`

// requests serves a folder, shows its viewer, and returns what was asked for besides pages of the folder: of the
// server itself, or through it as a proxy of any other. What pages ask for bears a Referer; what the browser wants for
// itself does not. (An https address does not pass the proxy, but the page's own policy stops it, and the console says so.)
func (b browser) requests(t *testing.T, dir string) []string {
	t.Helper()
	var lock sync.Mutex
	var asked []string
	pages, files := 0, http.FileServer(http.Dir(dir))
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		lock.Lock()
		defer lock.Unlock()
		if r.Host == r.Context().Value(http.LocalAddrContextKey).(net.Addr).String() && filepath.Ext(r.URL.Path) == ".html" {
			pages++
		} else if r.Referer() != "" {
			asked = append(asked, r.Method+" "+r.Host+r.URL.Path)
		}
		files.ServeHTTP(w, r)
	}))
	defer server.Close()
	b.open(t, server.URL+"/viewer.html", "--dump-dom", "--proxy-server="+server.Listener.Addr().String())
	lock.Lock()
	defer lock.Unlock()
	if pages < 2 {
		t.Errorf("only %d pages were asked for", pages)
	}
	slices.Sort(asked)
	return slices.Compact(asked)
}

// watch shows pages of a folder in a browser at both widths.
func (b browser) watch(t *testing.T, dir string, pages []string) ([]seen, string) {
	t.Helper()
	text := viewer
	for _, p := range pages {
		for _, width := range []int{1280, 360} {
			text += fmt.Sprintf("<iframe data-page=%q src=%q style=\"border:0;width:%dpx;height:900px\"></iframe>\n", p, p, width)
		}
	}
	write(t, dir, "viewer.html", text)
	out, console := b.open(t, "file://"+filepath.Join(dir, "viewer.html"), "--dump-dom", "--window-size=1400,1000")
	found := regexp.MustCompile(`<pre id="seen">(.*?)</pre>`).FindStringSubmatch(out)
	var all []seen
	if found == nil || json.Unmarshal([]byte(html.UnescapeString(found[1])), &all) != nil || len(all) != 2*len(pages) {
		t.Fatalf("the browser measured nothing: %.400s\n%s", out, console)
	}
	return all, console
}

func write(t *testing.T, dir, name, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// samples writes a page for every starter, one for a spec with errors, one for a fall, and one with long names,
// hostile texts and the linear view.
func samples(t *testing.T, dir string) (names []string) {
	t.Helper()
	add := func(name string, in Input) {
		write(t, dir, name+".html", render(t, in))
		names = append(names, name+".html")
	}
	for _, s := range starters {
		add(s, starter(t, s))
	}
	add("fall", input(t, "cart.yaml", fallen()))
	add("errors", input(t, "cart.yaml", bytes.Replace(templates.Starter("cart"), []byte("kp:"), []byte("kpp:"), 1)))
	name := strings.Repeat("long_name_", 3)
	long := strings.NewReplacer("heater: {from: heat,", name+"x: {from: "+name+"y,", "from: heater", "from: "+name+"x", "heat: {kind: pid", name+"y: {kind: pid",
		"heat.k", name+"y.k", "the door is open", "'"+strings.ReplaceAll(hostile, "'", "''")+"'").Replace(string(templates.Starter("incubator")))
	in := input(t, "long.yaml", []byte(long))
	if in.Run == nil {
		t.Fatal(in.Findings())
	}
	in.Linear = sample()
	add("long", in)
	return names
}

// Every page, opened from a file, at the width of a screen and of a telephone: no word on the console, no request, every
// picture in sight whole, nothing to scroll sideways for.
func TestInBrowser(t *testing.T) {
	tier.Slow(t)
	b := findBrowser(t)
	dir := t.TempDir()
	all, console := b.watch(t, dir, samples(t, dir))
	if console != "" {
		t.Errorf("the console says:\n%s", console)
	}
	if asked := b.requests(t, dir); len(asked) > 0 {
		t.Errorf("asked for: %s", asked)
	}
	pictures := 0
	for _, s := range all {
		pictures += s.Pictures
		if s.Width != 1280 && s.Width != 360 || len(s.Hidden) > 0 || s.Sideways > 0 {
			t.Errorf("%+v", s)
		}
		if s.Pictures > 0 && s.Smallest < 9 {
			t.Errorf("%s at %d px: text of %.1f px in a picture", s.Page, s.Width, s.Smallest)
		}
	}
	if pictures < 2*30 {
		t.Errorf("only %d pictures were seen", pictures)
	}
	t.Logf("%d pages, %d pictures", len(all)/2, pictures/2)
}

// The test above can fail: it sees what a bad page does.
func TestBrowserSeesFaults(t *testing.T) {
	tier.Slow(t)
	b := findBrowser(t)
	dir := t.TempDir()
	write(t, dir, "bad.html", `<!DOCTYPE html><title>bad</title><script>console.error("spoken")</script><img src="none.png"><img src="http://elsewhere.test/x.png"><div style="width:3000px">wide</div>
<svg style="display:none"><title>gone</title></svg><svg viewBox="0 0 9 9" style="position:absolute;left:-50px;width:20px;height:20px"><title>left</title></svg>`)
	all, console := b.watch(t, dir, []string{"bad.html"})
	if !strings.Contains(console, "spoken") {
		t.Errorf("the console was not heard: %s", console)
	}
	for _, s := range all {
		if s.Sideways <= 0 || strings.Join(s.Hidden, "; ") != "gone: no size; left: outside the page" {
			t.Errorf("%+v", s)
		}
	}
	if asked := fmt.Sprint(b.requests(t, dir)); !strings.Contains(asked, "/none.png") || !strings.Contains(asked, "GET elsewhere.test/x.png") {
		t.Errorf("requests were not seen: %s", asked)
	}
	// What gets past the escaping would still be stopped by the page's own policy.
	page := render(t, starter(t, "pan"))
	write(t, dir, "stopped.html", strings.Replace(page, "</main>", `<script>document.title = "run"</script><img src="none.png"></main>`, 1))
	out, console := b.open(t, "file://"+filepath.Join(dir, "stopped.html"), "--dump-dom")
	if strings.Contains(out, "<title>run") || strings.Count(console, "Content Security Policy") < 2 {
		t.Errorf("a script or a picture was not stopped: %s", console)
	}
}

// Screenshots are really drawn: light and dark, wide and narrow. go test -artifacts keeps them.
func TestScreenshots(t *testing.T) {
	tier.Slow(t)
	b := findBrowser(t)
	dir, keep := t.TempDir(), t.ArtifactDir()
	write(t, dir, "cart.html", render(t, starter(t, "heading")))
	write(t, dir, "narrow.html", `<!DOCTYPE html><body style="margin:0"><iframe src="cart.html" style="border:0;width:360px;height:2000px"></iframe>`)
	for _, c := range []struct {
		name, page, flag string
		width, at        int
		paper            color.Color
	}{
		{"light.png", "cart.html", "--blink-settings=preferredColorScheme=1", 1280, 4, color.RGBA{0xff, 0xff, 0xff, 255}},
		{"dark.png", "cart.html", "--blink-settings=preferredColorScheme=0", 1280, 4, color.RGBA{0x15, 0x19, 0x1c, 255}},
		{"narrow.png", "narrow.html", "--blink-settings=preferredColorScheme=1", 500, 4, color.RGBA{0xff, 0xff, 0xff, 255}},
	} {
		path := filepath.Join(keep, c.name)
		b.open(t, "file://"+filepath.Join(dir, c.page), c.flag, "--screenshot="+path, fmt.Sprintf("--window-size=%d,2000", c.width))
		shot := readPNG(t, path)
		if shot.Bounds().Dx() != c.width || shot.Bounds().Dy() != 2000 {
			t.Errorf("%s is %v", c.name, shot.Bounds())
		}
		if got := color.RGBAModel.Convert(shot.At(c.at, c.at)); got != c.paper {
			t.Errorf("%s: the paper is %v, expected %v", c.name, got, c.paper)
		}
		if n := colours(shot); n < 50 {
			t.Errorf("%s has %d colours: nothing is drawn", c.name, n)
		}
	}
}

func readPNG(t *testing.T, path string) image.Image {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	shot, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return shot
}

func colours(of image.Image) int {
	seen := map[color.Color]bool{}
	for y := of.Bounds().Min.Y; y < of.Bounds().Max.Y; y += 3 {
		for x := of.Bounds().Min.X; x < of.Bounds().Max.X; x += 3 {
			seen[of.At(x, y)] = true
		}
	}
	return len(seen)
}
