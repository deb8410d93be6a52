package app

import (
	"fmt"

	"facings"
)

// flagPictures warns of flags whose picture cannot be read: the plan holds
// without it, but neither the flag can be printed nor the figure shown with it.
func flagPictures(o *Opened) facings.Diagnostics {
	var out facings.Diagnostics
	for _, u := range o.Project.Units {
		if u.Flag == nil {
			continue
		}
		for _, side := range [][2]string{{"picture", u.Flag.Picture}, {"picture_reverse", u.Flag.PictureReverse}} {
			key, name := side[0], side[1]
			if name == "" {
				continue
			}
			if _, err := o.files()(name); err != nil {
				out = append(out, facings.Diagnostic{ID: "flag-picture-missing", Severity: facings.Warning, Path: facings.Pointer("units", u.Name, "flag", key), Value: name,
					Message: fmt.Sprintf("the flag of %q has no picture: %v", u.Name, err),
					Hint:    "put the file beside the project (for the pages, open a zip of both), or describe the flag by parts"})
			}
		}
	}
	return out
}
