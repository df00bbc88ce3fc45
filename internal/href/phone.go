package href

import (
	"newel/internal/newel"
)

// Caregivers' pages.
const (
	Today = "/today"
	Leave = "/leave"

	Teach    One[newel.PlacementID] = "/teach/{placement}"
	Record   One[newel.PlacementID] = "/record/{placement}"
	Progress One[newel.PlacementID] = "/progress/{placement}"

	Questions                       = "/questions"
	Question  One[newel.QuestionID] = "/questions/{question}"

	Agreed                           = "/agreed"
	AgreedAction One[newel.ActionID] = "/agreed/{action}"

	Messages     = "/messages"
	MessagesLive = Messages + live
	MessagesRead = "/messages/read"

	Incidents                       = "/incidents"
	Incident  One[newel.IncidentID] = "/incidents/{incident}"
)

// Requests of the phone's own script. Everything under Phone always answers
// with JSON.
const (
	Phone         = "/phone/"
	PhoneDay      = Phone + "day"
	PhoneReceipts = Phone + "receipts"
	PhoneRescue   = Phone + "rescue"
	PhoneAccounts = Phone + "accounts"
	PhonePIN      = Phone + "pin"
	PhoneSwitch   = Phone + "switch"
	PhoneLock     = Phone + "lock"

	PhonePicture One[string]           = Phone + "pictures/{sha256}"
	PhoneLetter  One[newel.LetterID]   = Phone + "letters/{letter}"
	PhoneTalk    One[newel.TalkID]     = Phone + "talks/{talk}"
	PhoneRead    One[newel.TrainingID] = Phone + "reads/{read}"

	Kit One[newel.PlacementID] = "/kits/{placement}"

	Offline       = "/offline"
	ServiceWorker = "/sw.js"
	Manifest      = "/manifest.webmanifest"
)
