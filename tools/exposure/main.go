// Command exposure works out how much of a light-from-above spray each vertex of
// a mesh gets, and how long that takes.
//
//	exposure MESH --directions 64 --threads 2 --json --out exposures.csv
//	exposure gen lumpy.stl --triangles 200000
//
// Seconds are those of the whole computation on the mesh in memory: preparing
// it, casting every ray and summing up; reading the file is given apart.
package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"github.com/spf13/cobra"

	"facings/internal/geom"
	"facings/internal/light"
)

func main() {
	if err := command(os.Stdout).Execute(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		var re *geom.ReadError
		if errors.As(err, &re) && re.Hint != "" {
			fmt.Fprintln(os.Stderr, "  hint:", re.Hint)
		}
		os.Exit(1)
	}
}

type settings struct {
	spray   light.Spray
	read    geom.ReadOptions
	threads int
	json    bool
	out     string
	verify  bool
}

func command(w io.Writer) *cobra.Command {
	s := settings{spray: light.DefaultSpray()}
	c := &cobra.Command{
		Use:   "exposure MESH",
		Short: "how much of a spray from above each vertex of a mesh gets",
		Args:  cobra.ExactArgs(1), SilenceErrors: true, SilenceUsage: true,
		RunE: func(_ *cobra.Command, args []string) error { return s.run(w, args[0]) },
	}
	f := c.Flags()
	f.IntVar(&s.spray.Directions, "directions", s.spray.Directions, "how many directions stand for the spray")
	f.Float64Var(&s.spray.ElevationDeg, "elevation", s.spray.ElevationDeg, "degrees of the ring above the horizontal")
	f.Float64Var(&s.spray.SpreadDeg, "spread", s.spray.SpreadDeg, "degrees the cone reaches to either side")
	f.Float64Var(&s.spray.OverheadShare, "overhead", s.spray.OverheadShare, "share from straight above, 0 to 1")
	f.IntVar(&s.threads, "threads", runtime.GOMAXPROCS(0), "workers; the answer does not depend on it")
	f.StringVar(&s.read.Unit, "unit", "", "unit of the file: mm, cm, dm, m, in, ft (default: stated or guessed)")
	f.StringVar(&s.read.Up, "up", "", "axis that points up in the file: y or z (default: the format's habit)")
	f.BoolVar(&s.json, "json", false, "print the result as JSON")
	f.StringVar(&s.out, "out", "", "write the exposure of each vertex to this CSV file")
	f.BoolVar(&s.verify, "verify", false, "cast every ray once more through the hierarchy and count verdicts that differ")
	c.AddCommand(genCommand(w))
	return c
}

// result is what --json prints.
type result struct {
	Mesh          string  `json:"mesh"`
	Triangles     int     `json:"triangles"`
	Vertices      int     `json:"vertices"`
	Unit          string  `json:"unit"`
	UnitFrom      string  `json:"unit_from"`
	Directions    int     `json:"directions"`
	ElevationDeg  float64 `json:"elevation_deg"`
	SpreadDeg     float64 `json:"spread_deg"`
	OverheadShare float64 `json:"overhead_share"`
	Threads       int     `json:"threads"`
	Rays          int64   `json:"rays"`
	RaysBlocked   int64   `json:"rays_blocked"`
	ReadSeconds   float64 `json:"read_seconds"`
	Seconds       float64 `json:"seconds"`
	RaysPerSecond float64 `json:"rays_per_second"`
	NearMM        float64 `json:"near_mm"`
	OpenUp        float64 `json:"open_up"`
	MeanExposure  float64 `json:"mean_exposure"`
	Out           string  `json:"out,omitempty"`
	Verified      *int64  `json:"verified_rays,omitempty"`
	Differ        *int64  `json:"differing_rays,omitempty"`
}

func (s *settings) run(w io.Writer, path string) error {
	start := time.Now()
	file, err := geom.ReadFile(path, s.read)
	if err != nil {
		return err
	}
	sources, err := s.spray.Sources()
	if err != nil {
		return err
	}
	if s.threads < 1 {
		return fmt.Errorf("%d threads: give at least 1", s.threads)
	}
	m := file.Mesh
	r := result{Mesh: path, Triangles: len(m.F), Vertices: len(m.V), Unit: file.Units.Name, UnitFrom: file.Units.From,
		Directions: len(sources), ElevationDeg: s.spray.ElevationDeg, SpreadDeg: s.spray.SpreadDeg,
		OverheadShare: s.spray.OverheadShare, Threads: s.threads, ReadSeconds: time.Since(start).Seconds(), Out: s.out}
	start = time.Now()
	e := light.Expose(m, sources, light.Options{Threads: s.threads})
	r.Seconds = time.Since(start).Seconds()
	r.Rays, r.NearMM, r.OpenUp = e.Rays, e.Near, e.Up
	r.RaysPerSecond = float64(e.Rays) / r.Seconds
	r.MeanExposure = meanByArea(m, e.Vertex)
	r.RaysBlocked = e.Blocked.Hits()
	if s.verify {
		verified, differ := verify(m, sources, e)
		r.Verified, r.Differ = &verified, &differ
	}
	if s.out != "" {
		if err := writeFile(s.out, func(w io.Writer) error { return writeCSV(w, m, len(sources), e) }); err != nil {
			return err
		}
	}
	return r.print(w, s.json)
}

func meanByArea(m *geom.Mesh, v []float64) float64 {
	sum, area := 0.0, 0.0
	for i, a := range m.VertexAreas() {
		sum += float64(a * v[i])
		area += a
	}
	return sum / max(area, math.SmallestNonzeroFloat64)
}

func (r *result) print(w io.Writer, asJSON bool) error {
	if asJSON {
		enc := json.NewEncoder(w)
		enc.SetIndent("", "  ")
		return enc.Encode(r)
	}
	fmt.Fprintf(w, "%s: %d triangles, %d vertices (%s, %s)\n", r.Mesh, r.Triangles, r.Vertices, r.Unit, r.UnitFrom)
	fmt.Fprintf(w, "%d directions, %d rays, %d blocked\n", r.Directions, r.Rays, r.RaysBlocked)
	fmt.Fprintf(w, "%.3f s on %d threads, %.3g rays a second\n", r.Seconds, r.Threads, r.RaysPerSecond)
	fmt.Fprintf(w, "mean exposure %.3f, level open facet %.3f\n", r.MeanExposure, r.OpenUp)
	if r.Verified != nil {
		fmt.Fprintf(w, "%d rays cast again, %d verdicts differ\n", *r.Verified, *r.Differ)
	}
	return nil
}

// writeCSV writes one line per vertex, with what is needed to cast its rays again.
func writeCSV(w io.Writer, m *geom.Mesh, dirs int, e *light.Exposure) error {
	b := bufio.NewWriter(w)
	fmt.Fprintln(b, "x_mm,y_mm,z_mm,normal_x,normal_y,normal_z,rays,rays_blocked,exposure")
	normals := m.VertexNormals()
	for i, v := range m.V {
		rays, hits := 0, 0
		for d := range dirs {
			if e.Blocked.Cast(d, i) {
				rays++
			}
			if e.Blocked.Hit(d, i) {
				hits++
			}
		}
		n := normals[i]
		fmt.Fprintf(b, "%.9g,%.9g,%.9g,%.9g,%.9g,%.9g,%d,%d,%.9g\n", v.X, v.Y, v.Z, n.X, n.Y, n.Z, rays, hits, e.Vertex[i])
	}
	return b.Flush()
}

// writeFile writes beside the target and renames, so that a failure leaves
// nothing half written.
func writeFile(path string, write func(io.Writer) error) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".exposure-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	if err := errors.Join(write(f), f.Chmod(0o644), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
