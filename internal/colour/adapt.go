package colour

// cat16 turns XYZ into the sharpened cone responses of CIECAM16.
var cat16 = matrix3{
	{0.401288, 0.650173, -0.051461},
	{-0.250268, 1.204414, 0.045854},
	{-0.002079, 0.048952, 0.953127},
}

// Adapt returns the colour that looks, to an eye wholly adapted to the white
// to, as c looks to one adapted to the white from. Use it to show on a screen
// (D65) what a lamp makes of a paint; to compare two mixes under one lamp,
// take Lab against that lamp's own white instead.
//
// Ref: li2017.
func Adapt(c, from, to XYZ) XYZ {
	m := cat16
	fr, fg, fb := m.apply(from.X, from.Y, from.Z)
	tr, tg, tb := m.apply(to.X, to.Y, to.Z)
	r, g, b := m.apply(c.X, c.Y, c.Z)
	inv := m.inverse()
	x, y, z := inv.apply(r*tr/fr, g*tg/fg, b*tb/fb)
	return XYZ{x, y, z}
}
