package web

import (
	"html/template"
	"net/http"
)

// pairView is what the page of a device that wants to join says.
type pairView struct {
	Token   string
	Refused bool
}

// The page needs no script and no file: a device that is not paired gets
// nothing else.
var pairTemplate = template.Must(template.New("pair").Parse(`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>Facings: pair this device</title>
</head>
<body>
<main>
<h1>Facings</h1>
{{if .Refused}}<p><strong>The code did not do.</strong> Each one works once, for ten minutes. Ask the machine for a new one and scan that.</p>
{{else if .Token}}<p>Let this device work with the projects on that machine?</p>
<form method="post" action="/pair">
<input type="hidden" name="token" value="{{.Token}}">
<p><label>What to call this device<br><input name="device" maxlength="40" value="phone" autocomplete="off"></label></p>
<p><button type="submit">Pair this device</button></p>
</form>
{{else}}<p>This device is not paired yet. On the machine that runs Facings choose <em>another device</em>, or look at its terminal, and scan the code shown there.</p>
{{end}}</main>
</body>
</html>
`))

func (s *Server) page(w http.ResponseWriter, status int, v pairView) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	if err := pairTemplate.Execute(w, v); err != nil {
		s.logf("pairing page: %v", err)
	}
}
