package store_test

import (
	"facings/internal/app"
	"facings/internal/store"
)

var _ app.Keeper = (*store.Store)(nil)
