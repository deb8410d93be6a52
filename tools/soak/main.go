// Command soak puts the server under mixed load on loopback for a while, and
// then looks whether anything that it acknowledged was lost:
//
//	go build -o facings ./cmd/facings
//	go run ./tools/soak -program ./facings -time 1h [-workers 4] [-pause 200ms] [-pictures 6] [-json]
//
// Workers read, edit, undo, tick, ask for pictures, mixes, sheets and what-ifs,
// and listen for news, each in its own order from its own seed. Sixty times over
// the run the server's memory is noted: what it holds of the machine's, and what
// its collector found to be alive (the server is started with GODEBUG=gctrace=1
// and tells on standard error). Whether that grows is told by the slope of the
// second half. At the end the server is killed without warning and
// started again; every acknowledged edit must then be in the history and every
// acknowledged tick in the log, just once. Linux only (memory comes from /proc).
package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"sync"
	"time"
)

func main() {
	program := flag.String("program", "./facings", "the built program")
	lasting := flag.Duration("time", time.Minute, "how long")
	workers := flag.Int("workers", 4, "how many at once, 1 to 64")
	pause := flag.Duration("pause", 200*time.Millisecond, "each worker's pause between requests")
	pictures := flag.Int("pictures", 6, "how often pictures are asked for, per 94 other requests: many fill what is held of them early")
	asJSON := flag.Bool("json", false, "print one JSON document")
	flag.Parse()
	if *workers < 1 || *workers > 64 || *pictures < 0 || flag.NArg() > 0 {
		flag.Usage()
		os.Exit(2)
	}
	r, err := run(*program, *lasting, *workers, *pictures, *pause)
	if r != nil {
		if *asJSON {
			e := json.NewEncoder(os.Stdout)
			e.SetIndent("", "  ")
			err = errors.Join(err, e.Encode(r))
		} else {
			r.print()
		}
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "soak:", err)
		os.Exit(1)
	}
}

// report is what came of it.
type report struct {
	Minutes  float64        `json:"minutes"`
	Workers  int            `json:"workers"`
	Requests map[string]int `json:"requests"`
	Refused  map[string]int `json:"refused"` // conflicts and the like, by status
	Failed   []string       `json:"failed"`  // what should not have happened
	Edits    int            `json:"edits_acknowledged"`
	Ticks    int            `json:"ticks_acknowledged"`
	Lost     int            `json:"lost"`
	Doubled  int            `json:"doubled"`
	MemoryMB []float64      `json:"memory_mb"` // resident, sixty times over the run
	// AliveMB is the least that a collection left alive since the last sample.
	AliveMB []float64 `json:"alive_mb"`
	// Growth is the last quarter's mean resident memory over that of the second quarter.
	Growth float64 `json:"growth"`
	// Slope is how fast AliveMB grew over the second half, by least squares, and
	// SlopeError its standard error.
	Slope      float64 `json:"alive_slope_mb_per_hour"`
	SlopeError float64 `json:"alive_slope_error_mb_per_hour"`
}

func (r *report) print() {
	fmt.Printf("%.1f min, %d workers\n", r.Minutes, r.Workers)
	var kinds []string
	total := 0
	for k, n := range r.Requests {
		kinds = append(kinds, k)
		total += n
	}
	slices.Sort(kinds)
	fmt.Printf("%d requests:", total)
	for _, k := range kinds {
		fmt.Printf(" %s %d", k, r.Requests[k])
	}
	fmt.Printf("\nrefused: %v\nfailed: %d %q\n", r.Refused, len(r.Failed), first(r.Failed, 5))
	fmt.Printf("acknowledged: %d edits, %d ticks; lost %d, doubled %d\n", r.Edits, r.Ticks, r.Lost, r.Doubled)
	fmt.Printf("resident (MB): %.0f\nits last quarter over its second: %.3f\n", r.MemoryMB, r.Growth)
	fmt.Printf("alive after collections (MB): %.0f\nslope over the second half: %+.1f ± %.1f MB/h\n", r.AliveMB, r.Slope, r.SlopeError)
}

func first(list []string, n int) []string { return list[:min(n, len(list))] }

func run(program string, lasting time.Duration, workers, pictures int, pause time.Duration) (*report, error) {
	s, err := start(program)
	if err != nil {
		return nil, err
	}
	defer s.end()
	project, err := s.create()
	if err != nil {
		return nil, err
	}
	r := &report{Workers: workers, Requests: map[string]int{}, Refused: map[string]int{}, Failed: []string{}}
	var mu sync.Mutex
	done := &acknowledged{}
	begun := time.Now()
	until := begun.Add(lasting)
	var wg sync.WaitGroup
	for i := range workers {
		wg.Go(func() {
			w := &worker{server: s, project: project, random: rand.New(rand.NewPCG(uint64(i), 1)), done: done, number: i, pictures: pictures}
			for time.Now().Before(until) {
				kind, err := w.step()
				mu.Lock()
				r.Requests[kind]++
				var no *refusal
				if errors.As(err, &no) && no.expected() {
					r.Refused[fmt.Sprint(no.status)]++
				} else if err != nil {
					r.Failed = append(r.Failed, kind+": "+err.Error())
				}
				mu.Unlock()
				time.Sleep(time.Duration(w.random.Int64N(int64(2*pause) + 1)))
			}
		})
	}
	var hours []float64 // when AliveMB was sampled
	wg.Go(func() {
		for time.Now().Before(until) {
			time.Sleep(lasting / samples)
			if mb, err := s.memory(); err == nil {
				r.MemoryMB = append(r.MemoryMB, mb)
			}
			if mb, ok := s.alive.least(); ok {
				r.AliveMB, hours = append(r.AliveMB, mb), append(hours, time.Since(begun).Hours())
			}
		}
	})
	wg.Wait()
	r.Minutes = time.Since(begun).Minutes()
	r.Edits, r.Ticks = len(done.edits), len(done.ticks)
	r.Growth = growth(r.MemoryMB)
	half := len(hours) / 2
	r.Slope, r.SlopeError = slope(hours[half:], r.AliveMB[half:])
	if err := s.restart(); err != nil {
		return r, err
	}
	if r.Lost, r.Doubled, err = done.missing(s, project); err != nil {
		return r, err
	}
	if r.Lost+r.Doubled+len(r.Failed) > 0 {
		return r, fmt.Errorf("%d lost, %d doubled, %d failed", r.Lost, r.Doubled, len(r.Failed))
	}
	return r, nil
}

// samples is how often memory is noted.
const samples = 60

// slope fits a line through points by least squares: its slope, and the standard
// error of that. Both are 0 for fewer than three points.
func slope(x, y []float64) (slope, err float64) {
	n := float64(len(x))
	if n < 3 {
		return 0, 0
	}
	mx, my := mean(x), mean(y)
	var sxx, sxy, syy float64
	for i := range x {
		sxx += (x[i] - mx) * (x[i] - mx)
		sxy += (x[i] - mx) * (y[i] - my)
		syy += (y[i] - my) * (y[i] - my)
	}
	if sxx == 0 {
		return 0, 0
	}
	slope = sxy / sxx
	return slope, math.Sqrt(max(0, syy-slope*sxy) / (n - 2) / sxx)
}

func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// growth compares the last quarter with the second, when caches are full.
func growth(mb []float64) float64 {
	n := len(mb)
	if n < 4 {
		return 1
	}
	return mean(mb[3*n/4:]) / mean(mb[n/4:n/2])
}
