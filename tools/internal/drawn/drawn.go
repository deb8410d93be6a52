// Package drawn is what the tools that draw the pictures of docs share: the demo,
// planned, and files of few bytes.
package drawn

import (
	"context"
	"image"
	"image/png"
	"io/fs"
	"os"
	"time"

	"facings/internal/app"
	"facings/internal/demo"
)

// Demo plans the demo by a shorter search than a user gets, which does for
// pictures and is the same each time.
func Demo() (*app.App, *app.Opened, *app.Plan, error) {
	text, err := fs.ReadFile(demo.Files(), "demo.yaml")
	if err != nil {
		return nil, nil, nil, err
	}
	a := &app.App{Now: func() time.Time { return time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC) }, Steps: 500_000}
	o, err := a.Read("demo.yaml", text)
	if err != nil {
		return nil, nil, nil, o.Findings
	}
	plan, err := a.Plan(context.Background(), o)
	return a, o, plan, err
}

// WritePNG writes a picture as tightly as PNG can.
func WritePNG(name string, img image.Image) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	e := png.Encoder{CompressionLevel: png.BestCompression}
	if err := e.Encode(f, img); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
