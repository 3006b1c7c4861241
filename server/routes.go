package server

import (
	"net/http"

	"github.com/gin-gonic/gin"
)

// route is one row of the table of routes.
type route struct {
	method string
	path   string
	action action
	do     func(*gin.Context) error
}

// table is every route of the program. A path with :client reaches its handler
// only through forClient, which answers "not found" for a client that the
// person may not know.
func (s *server) table() []route {
	const get, post = http.MethodGet, http.MethodPost
	return []route{
		{get, "/sign-in", openDoor, s.showSignIn},
		{post, "/sign-in", openDoor, s.signIn},
		{get, "/welcome/:token", openDoor, s.showWelcome},
		{post, "/welcome/:token", openDoor, s.choosePassword},
		{get, "/up", openDoor, s.up},

		{get, "/", ownSession, s.home},
		{post, "/sign-out", ownSession, s.signOut},
		{get, "/preferences", ownSession, s.showPreferences},
		{post, "/preferences", ownSession, s.savePreferences},
		{post, "/preferences/away", ownSession, s.saveAbsence},
		{post, "/preferences/password", ownSession, s.changePassword},

		{get, "/setup", setUpWorkshop, s.showSetUp},
		{post, "/setup/workshop", setUpWorkshop, s.saveWorkshop},
		{get, "/setup/people/new", setUpWorkshop, s.newPerson},
		{post, "/setup/people", setUpWorkshop, s.addPerson},
		{get, "/setup/people/:person", setUpWorkshop, s.editPerson},
		{post, "/setup/people/:person", setUpWorkshop, s.savePerson},
		{post, "/setup/people/:person/link", setUpWorkshop, s.makePersonLink},

		// how well the workshop measures
		{get, "/studies", readStudy, s.listStudies},
		{get, "/studies/new", makeStudy, s.newStudy},
		{post, "/studies", makeStudy, s.addStudy},
		{get, "/studies/import", makeStudy, s.newStudyImport},
		{post, "/studies/import", makeStudy, s.importStudy},
		{get, "/studies/:study", readStudy, s.showStudy},
		{get, "/studies/:study/sheets/:sheet/:pass", makeStudy, s.showSheet},
		{post, "/studies/:study/sheets/:sheet/:pass", makeStudy, s.saveSheet},
		{post, "/studies/:study/sheets/:sheet/:pass/fields", makeStudy, s.keepSheet},
		{get, "/studies/:study/volumes", makeStudy, s.showStudyVolumes},
		{post, "/studies/:study/volumes", makeStudy, s.saveStudyVolumes},
		{post, "/studies/:study/take", useStudy, s.takeStudy},
		{post, "/studies/:study/withdraw", useStudy, s.withdrawStudy},
		{get, "/studies/:study/readings.csv", readStudy, s.downloadStudy},
		{get, "/studies/:study/agreement.csv", readStudy, s.downloadAgreement},

		// the client's form, by a private link
		{get, "/robots.txt", openDoor, s.showRobots},
		{get, "/r/:token", sendReport, s.forClients(s.showReportStart)},
		{get, "/r/:token/", sendReport, s.forClients(s.showReportStart)}, // as some programs send the link on
		{post, "/r/:token/start", sendReport, s.forClients(s.startReport)},
		{get, "/report/:form/sent", sendReport, s.forClients(s.showReportSent)},
		{post, "/report/:form/send", sendReport, s.forClients(s.sendReport)},
		{post, "/report/:form/keep", sendReport, s.forClients(s.keepReport)},
		{get, "/report/:form/:step", sendReport, s.forClients(s.showReportStep)},
		{post, "/report/:form/:step", sendReport, s.forClients(s.saveReportStep)},

		// the lists
		{get, "/today", seeToday, s.showToday},
		{get, "/clients", seeToday, s.listClients},
		{post, "/clients/find", seeToday, s.findClients},

		// what the prosthetist decides
		{get, "/reviews", seeReviews, s.listReviews},
		{get, "/clients/:client/limbs/:limb/review", signReview, s.showReview},
		{post, "/clients/:client/limbs/:limb/review", signReview, s.checkReview},
		{post, "/clients/:client/limbs/:limb/review/sign", signReview, s.signReview},
		{get, "/clients/:client/reviews/:review", seeClient, s.showSigned},

		// the record
		{get, "/clients/new", keepRecord, s.newClient},
		{post, "/clients", keepRecord, s.addClient},
		{get, "/clients/:client/edit", keepRecord, s.editClient},
		{post, "/clients/:client", keepRecord, s.saveClient},
		{post, "/clients/:client/archive", keepRecord, s.archiveClient},
		{post, "/clients/:client/unarchive", keepRecord, s.unarchiveClient},
		{get, "/clients/:client/limbs/new", keepRecord, s.newLimb},
		{post, "/clients/:client/limbs", keepRecord, s.addLimb},
		{get, "/clients/:client/limbs/:limb/edit", keepRecord, s.editLimb},
		{post, "/clients/:client/limbs/:limb", keepRecord, s.saveLimb},
		{get, "/clients/:client/limbs/:limb/plan", keepRecord, s.editPlan},
		{post, "/clients/:client/limbs/:limb/plan", keepRecord, s.savePlan},
		{get, "/clients/:client/limbs/:limb/prosthesis", keepRecord, s.editProsthesis},
		{post, "/clients/:client/limbs/:limb/prosthesis", keepRecord, s.saveProsthesis},
		{get, "/clients/:client/limbs/:limb/events", keepRecord, s.showEvents},
		{post, "/clients/:client/limbs/:limb/events", keepRecord, s.addEvent},
		{get, "/clients/:client/limbs/:limb/covers/new", keepRecord, s.newCover},
		{post, "/clients/:client/limbs/:limb/covers", keepRecord, s.addCover},
		{get, "/clients/:client/limbs/:limb/covers/:cover", keepRecord, s.editCover},
		{post, "/clients/:client/limbs/:limb/covers/:cover", keepRecord, s.saveCover},

		// what is handed over to a prosthetist who does not sign in, and what was answered
		{get, "/clients/:client/limbs/:limb/handovers/new", handOver, s.newHandover},
		{post, "/clients/:client/limbs/:limb/handovers", handOver, s.makeHandover},
		{get, "/clients/:client/handovers/:handover", seeClient, s.showHandover},
		{post, "/clients/:client/handovers/:handover/ask-again", handOver, s.askAgain},
		{post, answerRoute, handOver, s.recordAnswer},
		{get, "/clients/:client/answers/:answer/document", seeClient, s.showDocument},

		// the private links of a client's form, and what came through them
		{get, "/clients/:client/links", makeLink, s.showReportLinks},
		{post, "/clients/:client/links", makeLink, s.makeReportLink},
		{get, "/clients/:client/links/:link/revoke", makeLink, s.askRevoke},
		{post, "/clients/:client/links/:link/revoke", makeLink, s.revokeReportLink},
		{get, "/clients/:client/reports/:report", seeClient, s.showReport},
		{post, "/clients/:client/reports/:report/seen", noteFlag, s.seeReport},
		{post, "/clients/:client/unsent/:draft/called", noteFlag, s.dealWithUnsent},

		// the check-in
		{post, "/clients/:client/checkins", logCheckin, s.startCheckin},
		{get, "/clients/:client/checkins/:checkin", seeClient, s.showCheckin},
		{post, "/clients/:client/checkins/:checkin/correct", logCheckin, s.correctCheckin},
		{get, "/clients/:client/drafts/:draft", logCheckin, s.showDraft},
		{post, "/clients/:client/drafts/:draft/fields", logCheckin, s.saveFields},
		{post, "/clients/:client/drafts/:draft/save", logCheckin, s.saveCheckin},
		{post, "/clients/:client/drafts/:draft/discard", logCheckin, s.discardDraft},
		{get, "/clients/:client/drafts/:draft/plan", logCheckin, s.showPlan},
		{post, "/clients/:client/drafts/:draft/plan", logCheckin, s.switchPlan},
		{get, "/clients/:client/drafts/:draft/:step", logCheckin, s.showStep},
		{post, "/clients/:client/drafts/:draft/:step", logCheckin, s.saveStep},

		// the letter to a prosthetist who does not sign in
		{get, "/clients/:client/handovers/:handover/letter", seeClient, s.showLetter},

		// what was found
		{get, "/clients/:client", seeClient, s.showClient},
		{get, "/clients/:client/flags/:flag", seeClient, s.showFlag},
		{post, "/clients/:client/flags/:flag/seen", noteFlag, s.seeFlag},
		{post, "/clients/:client/flags/:flag/called", noteFlag, s.callAboutFlag},
		{post, "/clients/:client/flags/:flag/act", closeOwnFlag, s.actOnFlag},
		{post, "/clients/:client/flags/:flag/close", closeOwnFlag, s.closeFlag},
		{get, "/clients/:client/limbs/:limb/volume.csv", seeClient, s.downloadVolume},
		{get, "/clients/:client/limbs/:limb/girths.csv", seeClient, s.downloadGirths},
		{get, "/clients/:client/limbs/:limb/clearance.csv", seeClient, s.downloadClearance},
	}
}
