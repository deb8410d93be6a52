//go:build unix

package pigment

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"syscall"
	"testing"
	"time"
)

// spent is how much time all processors spent on this process, in milliseconds.
func spent(b *testing.B) float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return 1e3*float64(u.Utime.Sec+u.Stime.Sec) + 1e-3*float64(u.Utime.Usec+u.Stime.Usec)
}

// BenchmarkBest searches for known colours, near and far, over three grounds.
func BenchmarkBest(b *testing.B) {
	black, white := Chart()
	red, _ := FindStarter("scarlet")
	grounds := map[string]Inner{"black": black, "white": white, "scarlet": red.KS.Over(&white, 1)}
	for _, n := range []int{60, 200} {
		rack := benchRack(n)
		for _, ground := range []string{"white", "black", "scarlet"} {
			for _, hex := range []string{"#3a8f9b", "#7a1f2b", "#8b8f92", "#201818", "#e8e0c8", "#00ff40"} {
				b.Run(fmt.Sprintf("%d/%s/%s", n, ground, hex), func(b *testing.B) {
					b.ReportAllocs()
					q := benchQuery(hex, grounds[ground])
					before := spent(b)
					for b.Loop() {
						if _, err := Best(context.Background(), rack, q); err != nil {
							b.Fatal(err)
						}
					}
					b.ReportMetric((spent(b)-before)/float64(b.N), "cpu-ms")
				})
			}
		}
	}
}

// BenchmarkDrawn makes a hundred searches for each number of paints, each with
// a rack, ground and target of its own, and reports how long they take by the
// clock, and how much time of all processors.
func BenchmarkDrawn(b *testing.B) {
	for _, n := range []int{60, 200} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			var wall, cpu []float64
			for b.Loop() {
				r := rand.New(rand.NewPCG(100, uint64(n)))
				for range 100 {
					rack, q := seededRack(n, r.Uint64()), drawnQuery(r)
					began, before := time.Now(), spent(b)
					if _, err := Best(context.Background(), rack, q); err != nil {
						b.Fatal(err)
					}
					wall, cpu = append(wall, 1e3*time.Since(began).Seconds()), append(cpu, spent(b)-before)
				}
			}
			for name, v := range map[string][]float64{"ms": wall, "cpu-ms": cpu} {
				slices.Sort(v)
				b.ReportMetric(v[len(v)/2], "median-"+name)
				b.ReportMetric(v[len(v)*95/100], "p95-"+name)
				b.ReportMetric(v[len(v)-1], "max-"+name)
			}
		})
	}
}
