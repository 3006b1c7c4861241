package assess

// What to look at first, as codes for the catalogue.
const (
	LookCoverOff        = "cover-off"         // cover off until the prosthetist has looked
	LookCallToday       = "call-today"        // a clinician the same day; leave it off if that is safe
	LookReachClient     = "reach-client"      // today, by phone or otherwise
	LookWithinWeek      = "within-week"       // check within a week, whatever the gap says
	LookReadReport      = "read-report"       // read the report and answer it
	LookInjury          = "ask-injury"        // was anything hurt in the fall
	LookWherePressed    = "where-pressed"     // what lies against this place
	LookAttachment      = "attachment"        // the mount of the cover
	LookShell           = "shell-shape"       // has the shell changed its shape
	LookTrimLine        = "trim-line"         // the edge of the shell
	LookRecentEvents    = "recent-events"     // parts, shoe, alignment, repairs
	LookFeeler          = "check-with-feeler" // read the gap with a feeler
	LookMeasureAgain    = "measure-again"     // before the client leaves
	LookSafetyQuestions = "safety-questions"  // ask them today
	LookConditions      = "conditions"        // time since doffing, time of day, fitter
	LookSocks           = "socks"             // what is worn, and why
	LookSeries          = "series"            // landmark, plan, posture of the two visits
)

// LookFirstCodes lists every code that LookFirst can hold.
var LookFirstCodes = []string{
	LookCoverOff, LookCallToday, LookReachClient, LookWithinWeek, LookReadReport, LookInjury, LookWherePressed, LookAttachment, LookShell, LookTrimLine, LookRecentEvents, LookFeeler,
	LookMeasureAgain, LookSafetyQuestions, LookConditions, LookSocks, LookSeries,
}
