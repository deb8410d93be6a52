package swatch_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/jpeg"
	"image/png"
	"testing"

	"facings"
	"facings/internal/swatch"
	"facings/internal/swatch/synth"
)

// pngHead is a PNG that only says its size, and holds one more chunk.
func pngHead(w, h uint32, chunk string, size int) []byte {
	out := []byte("\x89PNG\r\n\x1a\n")
	add := func(name string, body []byte) {
		out = binary.BigEndian.AppendUint32(out, uint32(len(body)))
		all := append([]byte(name), body...)
		out = append(out, all...)
		out = binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(all))
	}
	head := binary.BigEndian.AppendUint32(nil, w)
	head = binary.BigEndian.AppendUint32(head, h)
	add("IHDR", append(head, 8, 2, 0, 0, 0))
	if chunk != "" {
		add(chunk, make([]byte, size))
	}
	add("IDAT", nil)
	add("IEND", nil)
	return out
}

func small(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 600, 500)), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestHostileFiles(t *testing.T) {
	good := small(t)
	webp := append([]byte("RIFF\x40\x00\x00\x00WEBPVP8X\x0a\x00\x00\x00\x02\x00\x00\x00"), make([]byte, 64)...)
	for name, c := range map[string]struct {
		file []byte
		id   string
	}{
		"nothing":          {nil, "photo-format"},
		"text":             {[]byte("facings: 1\n"), "photo-format"},
		"HEIC":             {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), "photo-format"},
		"endless PNG":      {pngHead(1<<16, 1<<16, "", 0), "photo-size"},
		"wide PNG":         {pngHead(1<<20, 1000, "", 0), "photo-size"},
		"no height":        {pngHead(1000, 0, "", 0), "photo-broken"},
		"small PNG":        {pngHead(100, 100, "", 0), "photo-small"},
		"moving PNG":       {pngHead(1000, 1000, "acTL", 8), "photo-format"},
		"moving WebP":      {webp, "photo-format"},
		"huge profile":     {pngHead(1000, 1000, "iCCP", 1<<20), "photo-size"},
		"PNG without body": {pngHead(1000, 1000, "", 0), "photo-broken"},
		"cut short":        {good[:len(good)/3], "photo-broken"},
		"head only":        {good[:24], "photo-broken"},
		"too many bytes":   {append([]byte("\xff\xd8\xff"), make([]byte, swatch.MostBytes)...), "photo-size"},
	} {
		_, err := swatch.LoadPhoto(c.file)
		var found facings.Diagnostics
		if !errors.As(err, &found) || found[0].ID != c.id || found[0].Hint == "" {
			t.Errorf("%s: %v, want %s", name, err, c.id)
		}
	}
}

// A picture without a card is refused, whatever it shows.
func TestNoCard(t *testing.T) {
	white := image.NewGray(image.Rect(0, 0, 900, 700))
	for i := range white.Pix {
		white.Pix[i] = 255
	}
	squares := image.NewGray(image.Rect(0, 0, 900, 700))
	for i := range squares.Pix {
		if (i%900/40+i/900/40)%2 == 0 {
			squares.Pix[i] = 230
		}
	}
	for name, img := range map[string]image.Image{"black": image.NewGray(image.Rect(0, 0, 900, 700)), "white": white, "squares": squares} {
		var b bytes.Buffer
		if err := png.Encode(&b, img); err != nil {
			t.Fatal(err)
		}
		_, err := read(t, b.Bytes())
		var found facings.Diagnostics
		if !errors.As(err, &found) || found[0].ID != "card-not-found" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// FuzzLoadPhoto: whatever the bytes, there is a photograph or a diagnostic, and
// a photograph can be searched for a card.
func FuzzLoadPhoto(f *testing.F) {
	f.Add([]byte{})
	f.Add(small(f))
	f.Add(small(f)[:300])
	f.Add(pngHead(1000, 1000, "acTL", 8))
	f.Add(pngHead(600, 500, "", 0))
	f.Add([]byte("RIFF\x40\x00\x00\x00WEBPVP8 \x0a\x00\x00\x00"))
	f.Add([]byte("\x00\x00\x00\x18ftypheic"))
	shot, err := synth.Take(1, synth.Options{Turn: 0, Cells: 6, Long: 700})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(shot.JPEG)
	f.Fuzz(func(t *testing.T, file []byte) {
		if len(file) > 1<<20 {
			return
		}
		p, err := swatch.LoadPhoto(file)
		if err == nil && p.W*p.H < 1_000_000 {
			_, err = swatch.Read(p)
		}
		var found facings.Diagnostics
		if err != nil && !errors.As(err, &found) {
			t.Fatalf("an error that is no diagnostic: %v", err)
		}
	})
}
