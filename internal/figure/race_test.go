//go:build race

package figure

func init() { underRace = true }
