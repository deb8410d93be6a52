// Package web serves the pages and their JSON over HTTP: addresses, headers,
// who may call, and files of the pages. It knows no rule of the trade; every
// request becomes one call of app.Desk.
//
// The JSON is described by docs/openapi.json, written from the types here and
// in app. Start with Server.Handler and routes.go.
package web
