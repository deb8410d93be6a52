package cli

import (
	"errors"
	"fmt"
	"io/fs"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/spf13/cobra"

	"facings"
	"facings/internal/app"
)

func (p *Program) measure() *cobra.Command {
	var asJSON bool
	var opt app.MeasureOptions
	cmd := &cobra.Command{
		Use:   "measure MESH",
		Short: "Show the areas, the light from above and the faults of a mesh",
		Long: `Reads an STL, OBJ, 3MF or GLB file, or takes a built-in body by name (foot,
mounted, gun), and shows its size, shells and faults, and how much of a spray
from above reaches its surface. Units are taken from the file or guessed from its
size, and said; --unit settles them.

--like foot (or mounted, gun) labels the mesh after the built-in body and keeps
the labels beside the file, from where they are read the next time. --out writes
the mesh as .glb, with one material per area, or as .stl.`,
		Args: exactly(1, "one MESH"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if cmd.Flags().Changed("directions") && opt.Directions < 1 {
				return usageError{fmt.Errorf("--directions %d: give 1 or more, or leave it out for 64", opt.Directions)}
			}
			if opt.Out != "" {
				if err := roomFor(opt.Out); err != nil {
					return err
				}
			}
			a, bar := p.app()
			s, notes, err := a.Measure(args[0], opt)
			bar.done()
			if fault, ok := app.AsMeshFault(err); ok {
				fmt.Fprintln(p.Err, fault)
				if fault.Hint != "" {
					fmt.Fprintf(p.Err, "    %s\n", fault.Hint)
				}
				return inputError{}
			}
			if errors.Is(err, fs.ErrNotExist) {
				return fmt.Errorf("%s cannot be read: %w\n    give the path of an STL, OBJ, 3MF or GLB file, or a built-in body: foot, mounted or gun", args[0], cause(err))
			}
			if err != nil {
				return err
			}
			for _, note := range notes {
				fmt.Fprintln(p.Err, note)
			}
			if asJSON {
				return p.json(s)
			}
			p.printSurvey(s)
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the survey as JSON")
	cmd.Flags().StringVar(&opt.Unit, "unit", "", "unit of the file: mm, cm, dm, m, in, ft or um")
	cmd.Flags().StringVar(&opt.Up, "up", "", "which axis of the file is up: z or y")
	cmd.Flags().Float64Var(&opt.ElevationDeg, "elevation", 0, "height of the light from above over the horizon, in degrees (default 45)")
	cmd.Flags().IntVar(&opt.Directions, "directions", 0, "how many directions stand for the light (default 64)")
	cmd.Flags().StringVar(&opt.Like, "like", "", "label the mesh after a built-in body: foot, mounted or gun")
	cmd.Flags().StringVar(&opt.Out, "out", "", "write the mesh to this .glb or .stl file")
	choices(cmd, "like", facings.BodyFoot, facings.BodyMounted, facings.BodyGun)
	choices(cmd, "unit", "mm", "cm", "dm", "m", "in", "ft", "um")
	choices(cmd, "up", "z", "y")
	return cmd
}

func (p *Program) printSurvey(s *app.Survey) {
	fmt.Fprintf(p.Out, "%s: %s, %s\n", s.Mesh, s.Format, s.UnitNote)
	fmt.Fprintf(p.Out, "  %.1f x %.1f x %.1f mm, %s up; %s, %s, %s\n", s.SizeMM[0], s.SizeMM[1], s.SizeMM[2], s.UpAxis,
		count(s.Triangles, "triangle", "triangles"), count(s.Vertices, "vertex", "vertices"), count(s.Shells, "shell", "shells"))
	fmt.Fprintf(p.Out, "  surface %.1f mm²", s.AreaMM2)
	if s.VolumeMM3 != nil {
		fmt.Fprintf(p.Out, ", volume %.1f mm³", *s.VolumeMM3)
	}
	fmt.Fprintf(p.Out, "\n  light from above at %.0f°: mean %.2f of full, a tenth of the surface below %.2f, a tenth above %.2f; %.0f %% in the dark\n",
		s.Exposure.ElevationDeg, s.Exposure.Mean, s.Exposure.P10, s.Exposure.P90, 100*s.Exposure.DarkShare)
	if len(s.Labels) > 0 {
		t := p.newTable("area", "mm²", "light")
		for _, l := range s.Labels {
			t.AppendRow(table.Row{l.Label, fmt.Sprintf("%.1f", l.AreaMM2), fmt.Sprintf("%.2f", l.MeanExposure)})
		}
		t.Render()
	}
	if len(s.Faults) == 0 {
		fmt.Fprintln(p.Out, "  no faults")
	}
	for _, f := range s.Faults {
		what := "fault"
		if f.Note {
			what = "note"
		}
		fmt.Fprintf(p.Out, "  %s: %s\n      %s\n", what, f.Message, f.Hint)
	}
}
