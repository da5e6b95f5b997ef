package ui

// The words of the one-file version and of handing a plan on in it.
const (
	wSingle       = "One file"
	wSingleKeeps  = "This is the one-file version: the whole planner is in this file, and it never needs the internet. What you change stays in this browser on this device, as far as the browser keeps anything for a file; it does not go into the file. To be sure of it, save it again as one file, under Send this plan."
	wSingleInside = "The plan that came in this file"
	wSingleText   = "The card as plain text"
	wSingleBroken = "The plan in this file can’t be read. "
	wSingleNewer  = "It was written by a newer version of this page."

	wSendOne       = "As one file"
	wSendOneHow    = "One file with the planner and this plan inside, for a memory stick or an e-mail. Opened in a browser it works without the internet, and nothing has to be installed; who opens it sees the plan first, as with a link. Where a browser runs no program in a file, as on some phones, it shows the card."
	wSendOneSave   = "Save as one file"
	wSendOneMaking = "Putting the file together…"
	wSendOneFailed = "The file was not made: "
	wSendOneSize   = " MB. Open it once to see that it works there."
	wCardHomeless  = "This file doesn’t know where the planner stands on the internet, so the card has no code."
	wSendHomeless  = "This file doesn’t know where the planner stands on the internet, so there is no link. Send the plan as one file, or as a plan file."
)
