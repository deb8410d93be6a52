package app

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"runtime"
	"strings"
	"testing"
	"time"

	"facings"
	"facings/internal/projectfile"
)

// zipped packs names and contents in turn.
func zipped(t testing.TB, pairs ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(pairs); i += 2 {
		w, err := z.Create(pairs[i])
		if err == nil {
			_, err = w.Write([]byte(pairs[i+1]))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

const oneEntry = `{"id":"a","kind":"done","at":"2027-01-04T20:15:00Z","seconds":60,"tasks":[{"figure":{"unit":"Guards","role":"private","number":1},"area":"coat","coat":0,"medium":"red"}]}`

// An archive is refused as a mistake of the sender's, or all in it has a clean
// name, a bounded size and entries that hold together.
func FuzzUnzip(f *testing.F) {
	f.Add(zipped(f, zipProject, "facings: 1\nname: x\n"))
	f.Add(zipped(f, zipProject, "facings: 1\n", zipLog, `{"entries":[`+oneEntry+`],"seq":1}`, zipFiles+"flag.svg", "<svg/>"))
	f.Add(zipped(f, zipFiles, "", zipFiles+"../a", "x", "/etc/x", "y"))
	f.Add(zipped(f, zipProject, "a", zipProject, "b"))
	f.Fuzz(func(t *testing.T, data []byte) {
		in, err := unzip(data)
		if mistake := (*Mistake)(nil); err != nil {
			if !errors.As(err, &mistake) {
				t.Fatalf("%v is no mistake", err)
			}
			return
		}
		if in.text == nil || len(in.text) > facings.MaxFileBytes || len(in.files) > facings.MaxFiles {
			t.Fatalf("%d bytes and %d files came through", len(in.text), len(in.files))
		}
		for name := range in.files {
			if checkFileName(name) != nil || strings.ContainsAny(name, `/\`) {
				t.Fatalf("a file came through as %q", name)
			}
		}
		for _, e := range in.log {
			if err := checkEntry(&e); err != nil || e.Seq != 0 {
				t.Fatalf("entry %+v came through: %v", e, err)
			}
		}
	})
}

// A log is read or refused with its line, and what was read is written and
// read again as the same.
func FuzzReadEntries(f *testing.F) {
	f.Add([]byte(`[]`))
	f.Add([]byte(`{"seq":1,"x":[{}],"entries":[` + oneEntry + `]}`))
	f.Add([]byte("[\n" + oneEntry + ",\n" + `{"id":"b","kind":"undo","at":"2027-01-04T21:00:00+01:00","undoes":"a"}` + "]"))
	f.Add([]byte(`[{"id":"c","kind":"used","at":"2027-01-04T20:15:00Z","used":{"medium":"red","mix":[{"paint":"red","parts":2}],"lot":"7","ml":0.5}}]`))
	f.Add([]byte(`[{"id":"d","kind":"note","at":"2027-01-04T20:15:00Z","note":"dry","file":"a.jpg"},null]`))
	f.Fuzz(func(t *testing.T, text []byte) {
		log, err := ReadEntries(text, func(_ int, e *facings.Entry) error { return checkEntry(e) })
		if err != nil {
			if fault := (*LogFault)(nil); !errors.As(err, &fault) || fault.Line < 1 || fault.Line > 1+bytes.Count(text, []byte("\n")) {
				t.Fatalf("no place: %v", err)
			}
			return
		}
		progress := facings.ProgressOf(log)
		again, err := json.Marshal(append([]facings.Entry{}, log...))
		if err != nil {
			t.Fatal(err)
		}
		twice, err := ReadEntries(again, func(_ int, e *facings.Entry) error { return checkEntry(e) })
		if err != nil || len(twice) != len(log) || len(facings.ProgressOf(twice).Done) != len(progress.Done) {
			t.Fatalf("%d entries, again %d, %v", len(log), len(twice), err)
		}
	})
}

// A patch of a page is refused as a mistake, or makes a project that can be
// checked, written and read.
func FuzzPatched(f *testing.F) {
	for _, seed := range []string{
		`[{"op":"replace","path":"/name","value":"Guards"}]`,
		`[{"op":"add","path":"/rack/-","value":{"name":"blue","kind":"opaque","colour":"#203060"}},{"op":"remove","path":"/rack/0"}]`,
		`[{"op":"move","from":"/units/0","path":"/units/1"},{"op":"copy","from":"/finishes/0","path":"/finishes/-"},{"op":"test","path":"/facings","value":1}]`,
		`[{"op":"add","path":"/calendar/painters/0/sittings/-","value":{"days":["mon"],"from":"19:00","to":"21:00"}}]`,
		`[{"op":"replace","path":"","value":null}]`, `[null]`, `[{"op":"add"}]`, `[{"op":"add","path":"/rack/-1","value":1}]`,
		`[{"op":"replace","path":"/seed","value":1e400}]`,
	} {
		f.Add([]byte(seed))
	}
	start, _, found := projectfile.Read("starter.yaml", projectfile.Starter())
	if found.Faulty() {
		f.Fatal(found)
	}
	f.Fuzz(func(t *testing.T, patch []byte) {
		patchWords(patch)
		p, err := patched(start, patch)
		if err != nil {
			if mistake := (*Mistake)(nil); !errors.As(err, &mistake) || mistake.Hint == "" {
				t.Fatalf("%v is no mistake with a way out", err)
			}
			return
		}
		findings := p.Validate()
		text, err := projectfile.Marshal(p)
		if err != nil {
			return
		}
		if _, _, again := projectfile.Read("patched.yaml", text); again.Faulty() != findings.Faulty() {
			t.Fatalf("before writing:\n%v\nafter:\n%v", findings, again)
		}
	})
}

// A forecast is read in the order of time, all of it possible air, or refused
// with its name.
func FuzzReadWeather(f *testing.F) {
	f.Add([]byte("time,temperature_c,rh\n2027-01-05 19:00,18.5,60\n2027-01-05T20:00:00+01:00,17,65\n"))
	f.Add([]byte("\ufeffDate, Temp, Humidity\n\"2027-01-05T19:00\",NaN,60\n"))
	f.Add([]byte("rh,time,temp\n50,2027-01-05 19:00:00,-40\n50\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		list, err := ReadWeather("air.csv", bytes.NewReader(text), facings.Calendar{Zone: "Europe/Vienna"})
		if err != nil {
			if !strings.HasPrefix(err.Error(), "air.csv:") {
				t.Fatal(err)
			}
			return
		}
		var last time.Time
		for _, w := range list {
			if w.At.Before(last) || !(w.TemperatureC > -100 && w.TemperatureC < 100) || !(w.HumidityPercent >= 0 && w.HumidityPercent <= 100) {
				t.Fatalf("%+v came through", w)
			}
			last = w.At
		}
	})
}

// Few bytes that would become gigabytes of entries are refused before they do.
func TestLogsDoNotSwell(t *testing.T) {
	none := func(int, *facings.Entry) error { return nil }
	for name, text := range map[string]string{
		"tasks of nothing":  `[{"tasks":[` + strings.Repeat("{},", 4_000_000) + `{}]}]`,
		"tasks of one sign": `[{"tasks":[` + strings.Repeat("1,", 4_000_000) + `1]}]`,
		"a list of lists":   strings.Repeat("[", 1_000_000),
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := ReadEntries([]byte(text), none)
		runtime.ReadMemStats(&after)
		if fault := (*LogFault)(nil); !errors.As(err, &fault) {
			t.Errorf("%s: %v", name, err)
		}
		if grown := after.TotalAlloc - before.TotalAlloc; grown > 200<<20 {
			t.Errorf("%s: %d MB for %d MB of text", name, grown>>20, len(text)>>20)
		}
	}
	long := "[" + strings.Repeat(oneEntry+",\n", 30) + `{"kind":3}]`
	if fault := (*LogFault)(nil); true {
		if _, err := ReadEntries([]byte(long), none); !errors.As(err, &fault) || fault.Line != 31 {
			t.Errorf("the fault of line 31 is at %v", err)
		}
	}
}

func TestLongForecastsAreRefusedWhole(t *testing.T) {
	text := "time,temp,rh\n2027-01-05 19:00,18.5,60" + strings.Repeat(" ", mostWeatherBytes)
	if list, err := ReadWeather("air.csv", strings.NewReader(text), facings.Calendar{}); err == nil || !strings.Contains(err.Error(), "more than 4 MiB") {
		t.Errorf("%v, %v", list, err)
	}
}
