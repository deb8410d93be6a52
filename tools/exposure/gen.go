package main

import (
	"fmt"
	"io"
	"math"

	"github.com/spf13/cobra"

	"facings/internal/geom"
)

func genCommand(w io.Writer) *cobra.Command {
	triangles := 200_000
	c := &cobra.Command{
		Use:   "gen OUT.stl",
		Short: "writes a lumpy closed mesh to measure with",
		Args:  cobra.ExactArgs(1), SilenceErrors: true, SilenceUsage: true,
		RunE: func(_ *cobra.Command, args []string) error {
			if triangles < 20 || triangles > geom.MaxTriangles {
				return fmt.Errorf("%d triangles: give 20 to %d", triangles, geom.MaxTriangles)
			}
			m := lumpy(triangles)
			fmt.Fprintf(w, "%s: %d triangles\n", args[0], len(m.F))
			return writeFile(args[0], func(w io.Writer) error {
				_, err := w.Write(geom.WriteSTL(m))
				return err
			})
		},
	}
	c.Flags().IntVar(&triangles, "triangles", triangles, "how many, about")
	return c
}

// lumpy is a ball of 14 mm radius on Z = 0, drawn up to 28 mm height and with
// folds deep enough to shade each other, like a coat.
func lumpy(triangles int) *geom.Mesh {
	m := geom.NewSphere(1, int(math.Round(math.Sqrt(float64(triangles)/20))))
	for i, v := range m.V {
		azimuth := math.Atan2(v.Y, v.X)
		folds := 0.12 * math.Sin(9*azimuth+4*v.Z) * (1 - v.Z*v.Z)
		lumps := 0.1 * math.Sin(6*v.X+1) * math.Sin(7*v.Y) * math.Sin(5*v.Z+2)
		p := v.Mul(14 * (1 + folds + lumps))
		m.V[i] = geom.Vec3{X: p.X * 0.6, Y: p.Y * 0.5, Z: p.Z + 14}
	}
	return m
}
