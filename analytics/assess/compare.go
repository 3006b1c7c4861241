package assess

import (
	"slices"

	"fairlead/analytics/girth"
	"fairlead/analytics/volume"
)

// VolumeChange returns the change of volume of the residual limb from the
// reference visit to the newest, and the reference. ok is false when there is
// nothing to compare: the newest visit has no readings or is the reference
// itself, or the level of the limb has no volume.
func (h History) VolumeChange() (change volume.Change, reference Visit, ok bool) {
	reference, _ = h.Reference()
	change, ok = h.changeSince(reference)
	return change, reference, ok
}

// changeSince is VolumeChange for any visit in place of the reference.
func (h History) changeSince(since Visit) (change volume.Change, ok bool) {
	newest, any := h.Newest()
	if !any || since.ID == newest.ID || !h.Limb.Level.HasCone() || len(newest.Residual.Profile) == 0 {
		return volume.Change{}, false
	}
	return h.compare(since.Residual, newest.Residual), true
}

// SoundControl returns the change of the residual limb less that of the sound
// limb between the same two visits as VolumeChange, and the sound limb's own
// change; ok is false when either can't be compared.
func (h History) SoundControl() (control volume.Control, sound volume.Change, ok bool) {
	reference, _ := h.Reference()
	return h.soundSince(reference)
}

// soundSince is SoundControl for any visit in place of the reference.
func (h History) soundSince(since Visit) (control volume.Control, sound volume.Change, ok bool) {
	residual, ok := h.changeSince(since)
	newest, _ := h.Newest()
	if !ok || !measurable(since.Sound.Profile) || !measurable(newest.Sound.Profile) {
		return volume.Control{}, volume.Change{}, false
	}
	sound = h.compare(since.Sound, newest.Sound)
	control, ok = volume.CompareToSound(residual, sound)
	return control, sound, ok
}

// compare is volume.Compare for profiles that may come from anywhere: what is
// not a profile is not comparable, and never stops the other rules.
func (h History) compare(reference, now volume.Visit) volume.Change {
	if !measurable(reference.Profile) || !measurable(now.Profile) {
		return volume.Change{Verdict: volume.NotComparable, Why: volume.Why{Code: volume.WhyTooFewLevels}}
	}
	return volume.Compare(reference, now, h.sigmas())
}

// sigmas returns the error model in force: the default one for a history that
// names none.
func (h History) sigmas() volume.Sigmas {
	if h.Sigmas == (volume.Sigmas{}) {
		return volume.DefaultSigmas
	}
	return h.Sigmas
}

// measurable tells whether a profile has a volume: two levels or more,
// ascending, each with a girth.
func measurable(p girth.Profile) bool {
	if len(p) < 2 || !slices.IsSortedFunc(p, func(a, b girth.Pooled) int {
		if a.LevelMM < b.LevelMM {
			return -1
		}
		return 1
	}) {
		return false
	}
	return !slices.ContainsFunc(p, func(at girth.Pooled) bool {
		return !finite(at.LevelMM) || !finite(at.GirthMM) || at.GirthMM <= 0 || !(at.EffectivePasses > 0)
	})
}
