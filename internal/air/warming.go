package air

import "math"

const (
	// TimeConstant is how long, in minutes, a casting standing free takes to
	// make up 63 % of what it is colder than the room (estimate): mass × specific
	// heat ÷ (surface × heat transfer). In still air, without radiation, a foot
	// figure comes to 4 to 5 minutes and a mounted one to 7 to 11, white metal and
	// resin much alike: resin is lighter, but holds more heat per gram.
	TimeConstant = 12.0
	// PracticeWait is the trade's wait, in minutes, for castings from a cold
	// room (common practice). On a full tray or in a box they warm far more
	// slowly than one standing free; an hour allows for that.
	PracticeWait = 60.0
)

// Warming is the time, in minutes, in which a casting of from °C reaches wanted
// °C in air of room °C, by Newton's law of cooling with TimeConstant; 0 if it is
// as warm already. The last tenth of a degree counts as reached. ok is false if
// it never gets there since the room is colder than that.
func Warming(from, room, wanted float64) (minutes float64, ok bool) {
	if from >= wanted {
		return 0, true
	}
	if room < wanted {
		return 0, false
	}
	wanted = math.Min(wanted, room-0.1)
	if from >= wanted {
		return 0, true
	}
	return TimeConstant * math.Log((room-from)/(room-wanted)), true
}
