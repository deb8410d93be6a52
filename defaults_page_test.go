package facings

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

// The page of defaults must say what the code does: each row is made from the
// code's values and looked for on the page.
func TestDefaultsPageSaysWhatTheCodeDoes(t *testing.T) {
	text, err := os.ReadFile("docs/defaults.md")
	if err != nil {
		t.Fatal(err)
	}
	page := strings.Join(strings.Fields(string(text)), " ")
	says := func(format string, args ...any) {
		t.Helper()
		if row := fmt.Sprintf(format, args...); !strings.Contains(page, row) {
			t.Errorf("docs/defaults.md does not say %q", row)
		}
	}
	for _, h := range Techniques() {
		says("| %s | %v | %v | %v |", h.Technique, h.SecondsPerArea, h.SecondsPerSquareMM, h.Film)
	}
	for _, k := range Kinds() {
		d := DefaultDrying(k)
		says("| %s | %v | %v | %v | %v |", k, d.Touch, d.Overcoat, d.WashOver, d.BeforeVarnish)
		says("| %s | %v | %v |", k, LossFactor(k, false), LossFactor(k, true))
	}
	s := DefaultSetUp()
	for what, minutes := range map[string]Minutes{
		"another paint: rinse, shake, put out": s.PaintMinutes, "a mix: count parts, stir": s.MixMinutes, "another tool": s.ToolMinutes,
		"fresh water after a metallic": s.WaterMinutes, "white or yellow after a dark colour": s.LightAfterDark,
		"a mix lives, dry palette": s.MixLifeDryMinutes, "a mix lives, wet palette": s.MixLifeWetMinutes,
	} {
		says("| %s | %v |", what, minutes)
	}
	p := &Project{}
	for what, value := range map[string]any{
		"tolerance, CIEDE2000 (`tolerance_delta_e`)":                   p.Tolerance(),
		"light from above, degrees over the horizon (`elevation_deg`)": DefaultElevationDeg,
		"air, °C (`temperature_c`)":                                    p.Climate().TemperatureC,
		"air, % RH (`humidity_percent`)":                               p.Climate().HumidityPercent,
		"ranks":                                                        DefaultRanks,
		"flag pole, mm (`pole_mm`)":                                    DefaultPoleMM,
		"a batch, mounted (`batch_figures`)":                           DefaultBatchMounted,
		"a batch, foot (`batch_figures`)":                              DefaultBatchFoot,
		"longest drying time anybody sits through at the bench, minutes (`patience_minutes`)": DefaultPatience,
		"nothing else is put out in the last minutes of a sitting (`closing_minutes`)":        DefaultClosing,
	} {
		says("| %s | %v |", what, value)
	}
	says("A drop: %v to the millilitre", DefaultDropsPerMillilitre)
	says("At least %v drops", MinimumDrops)
	says("Below %v °C the film may not form", MinimumPaintingTemperature)
	foot, _ := ReadyBody(BodyFoot)
	mounted, _ := ReadyBody(BodyMounted)
	says("A foot figure %.0f mm², mounted %.0f mm²", float64(foot.Surface()), float64(mounted.Surface()))
	for _, r := range ReadyTraits() {
		for value, share := range r.Shares {
			says("%s %v", value, share)
		}
	}
}
