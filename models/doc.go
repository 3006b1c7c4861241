// Package models is the record: what the workshop keeps about its clients,
// limbs, prostheses, covers and check-ins, and the store that keeps it in
// SQLite or PostgreSQL.
//
// The structs are the stored records themselves. Ids are UUIDv7 text, lengths
// are quantity.Length (tenths of a millimetre), weights are grams, times are
// UTC and calendar dates are quantity.Date. A pointer or an empty string means
// "not recorded". Records with a Version field are changed under an optimistic
// lock: an update names the version it was read at and fails with ErrStale
// when another has come first.
//
// Nothing above this package sees gorm: not its types, not its errors.
package models
