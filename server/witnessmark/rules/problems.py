"""Every way the shop says no: a code for programs, a sentence for the person that says what to do next."""

from .measuring_sentences import MEASURING

SENTENCES = MEASURING | {
    "json_not_text": "The data is not readable text (UTF-8). Send it again; if it stays so, update the app.",
    "json_malformed": "The data is not well-formed JSON ({detail}). Send it again; if it stays so, update the app.",
    "json_duplicate_key": "The data names \"{key}\" twice, so it is unclear which one counts. Send each name once.",
    "json_number": "The number {value} is not a whole number in the safe range. Send measured values as text.",
    "json_text": "A text holds half a character (a lone surrogate). Type that text again.",
    "json_key": "The name \"{key}\" is not allowed here. Use small letters, digits and underscores.",
    "json_too_deep": "The data is nested deeper than {limit} levels. Send it flatter.",
    "json_too_large": "The data holds more than {limit} values. Send it in smaller parts.",
    "json_kind": "A value of the kind {kind} cannot be kept in a record. Use text, whole numbers, lists and objects.",
    "not_canonical": "The entry is not in its canonical form, so its signature could not stand. Update the app.",
    "entry_shape": "The entry is wrong at \"{at}\": {why}. Update the app, then record the item again.",
    "number_unreadable": "\"{value}\" is not a number. Type digits with a decimal point, for example 38.50.",
    "number_ambiguous": "\"{value}\" could mean two numbers. Is it {first} or {second}?",
    "unit_unknown": "\"{unit}\" is not a unit we know. Choose one of: {units}.",
    "unit_mismatch": "{unit} cannot be compared with {other}: they measure different things. Choose a fitting unit.",
    "torque_geometry": "Wrench length and extension give no lever. Measure both from the drive and type them again.",
    "readings_none": "There is no reading yet. Type at least one value.",
    "not_allowed": "{name} may not record this: it needs the role {needs}. Hand over to someone who has it.",
    "own_work": "Nobody countersigns their own work. Hand over to another inspector.",
    "nothing_to_countersign": "There is no standing result to countersign. Record the item first.",
    "dispute_open": "Two entries of this item disagree. An inspector settles it, having seen both.",
    "no_dispute": "This item is not in dispute. Record an ordinary result.",
    "no_failure": "This item has no open failure to correct. Record a result instead.",
    "not_ready_for_release": "The card cannot be released yet: {count} points are open. Close them first.",
    "covers_changed": "The card has changed since this page was opened. Look at it again, then sign.",
    "not_applicable_refused": "This item must be inspected: \"not applicable\" is not allowed here.",
    "note_needed": "Say why in the note.",
    "discrepancy_needed": "Say what you found and where.",
    "reading_missing": "\"{title}\" has no value yet. Type it before you pass the item.",
    "tool_missing": "\"{title}\" needs the serial number of the tool. Type it before you pass the item.",
    "photo_missing": "This item needs a photo. Take one before you record the result.",
    "outside_limits": "\"{title}\" is outside its limits, so the item cannot pass. Record a fail.",
    "not_acceptable": "\"{title}\" is not acceptable as recorded, so the item cannot pass. Record a fail.",
    "choice_unknown": "\"{value}\" is not one of the choices of \"{title}\". Choose one of the list.",
    "storage_lost": "This phone could not keep the entry. Leave this page open, free some space and try again.",
    "storage_full": "This phone is full, so this could not be kept. Free some space on it, then try again.",
    "storage_blocked":
        "Another window still holds an older version of this app open. Close it, then try again here.",
    "storage_newer": "A newer version of this app has been used on this phone. Reload this window.",
    "storage_none":
        "This window keeps nothing (private browsing?). Open the app in an ordinary window.",
    "photo_not_image": "This file is not a photo we can read. Take it again, or choose a JPEG or PNG file.",
    "photo_heic":
        "This browser cannot read HEIC photos. Set the camera to JPEG (most compatible), then take it again.",
    "photo_unreadable": "The photo could not be read: the file is damaged. Take it again.",
    "photo_no_room":
        "Only {free} MB are free on this phone, too little for photos. Free some space, then take the photo.",
    "photo_damaged":
        "A photo on this phone has changed since it was taken, so it is not sent. Take it again: {sha256}.",
    "server_unreachable":
        "The server does not answer. Your work is kept on this phone and is sent when the server is back.",
    "server_answer_wrong":
        "The server's answer is not right ({detail}). Your work is kept here; tell the shop's admin.",
    "signed_out": "You are signed out on the server. Your work is kept on this phone; sign in to send it.",
    "other_server":
        "This phone holds unsent work for another server (entries: {count}). Touch the line on top and export it; "
        "then leave that server.",
    "sets_differ":
        "Phone and server still differ on {count} cards. Sync again; if it stays, tell the shop's admin.",
    "update_waits": "The update waits: {reason}. Finish that first, then tap again.",
    "signed_in_nobody": "Nobody is signed in on the server. Sign in, then try again.",
    "sign_in_wrong": "The sign-in name or the password is wrong. Type both again.",
    "sign_in_slow": "Too many wrong passwords for this sign-in name. Wait {seconds} seconds, then try again.",
    "sign_in_busy": "Many people are signing in at this moment. Wait a few seconds, then sign in again.",
    "role_needed": "This needs the role {needs}. Hand over to someone who has it.",
    "request_foreign":
        "This request did not come from Witnessmark's own page. Open the app at its own address and try again.",
    "host_unknown":
        "This server does not answer to the name \"{host}\". Open it at its own address, or add that name to "
        "WITNESSMARK_HOSTS.",
    "request_header": "The header {header} must be {expected}. Update the app, then try again.",
    "request_too_large": "The request is larger than {limit} bytes. Send it in smaller parts.",
    "request_shape": "The request is wrong at \"{at}\": {why}. Update the app, then try again.",
    "request_gzip": "The packed request cannot be unpacked. Send it again, or send it unpacked.",
    "not_found": "There is no {what} here by that name. Go back to the list and choose again.",
    "method_refused": "This address does not take {method}. Update the app, then try again.",
    "entry_too_large": "The entry is larger than {limit} bytes. Shorten its notes and record the item again.",
    "entry_other_server": "The entry was made for another server. Sign in on that server to send it.",
    "entry_card_unknown": "The entry belongs to a work card that this server does not have. Tell the shop's admin.",
    "entry_card_differs":
        "The entry names another {what} than its work card. Update the app, then record the item again.",
    "entry_item_unknown":
        "The entry names the item \"{item}\", which is not on its work card. Update the app, then record it again.",
    "author_unknown": "The entry's author is not a person of this shop, or no longer. Tell the shop's admin.",
    "author_differs":
        "Name or certificate in the entry differ from the shop's record of {name}. Sign in again, then record it anew.",
    "author_not_on_phone":
        "{name} has not signed in on this phone. Sign in here once; the entry is kept on the server meanwhile.",
    "device_sequence_taken":
        "This phone has already sent another entry with the number {sequence}. Tell the shop's admin.",
    "photo_part": "A part of a photo must have 1 to {limit} bytes and end within the photo. Send it again.",
    "photo_offset": "This photo goes on at byte {received}. Send it from there.",
    "photo_hash_wrong": "The bytes that arrived are not the photo that was named. Send it again from the start.",
    "photo_too_large": "The photo is larger than {limit} bytes. Take it again in a smaller size.",
    "photo_too_many_pixels": "The photo has more than {limit} pixels. Take it again in a smaller size.",
    "photo_room":
        "The server's disk is nearly full: it takes entries but no photos. Yours stays here; tell the shop's admin.",
    "photo_not_jpeg": "The file is not a JPEG photo that can be read. Take it again.",
    "paper_not_ready": "{why}",
    "disk_full":
        "The server's disk is full, so nothing was kept. Your work stays on this phone; tell the shop's admin.",
    "database_busy": "The server is busy and kept nothing. Your work stays on this phone; it is sent again by itself.",
    "server_failed":
        "The server failed and kept nothing of this request. Try again; if it stays, tell the shop's admin: {report}.",
    "base64url_wrong": "The {what} is not strict base64url. Send the entry again; if it stays so, update the app.",
    "jws_malformed": "The signed entry is not well formed: {why}. Update the app, then record the item again.",
    "jws_header":
        "The head of the signed entry is not the agreed one: {why}. Update the app, then record the item "
        "again.",
    "signature_form": "The signature has not the agreed form: {why}. Update the app, then record the item again.",
    "key_form": "The public key is not a P-256 key in the agreed form: {why}. Set up signing on this phone again.",
    "note_malformed": "The server's checkpoint cannot be read: {why}. Tell the shop's admin.",
    "note_unverifiable": "This browser cannot check the server's checkpoints (Ed25519). Update the browser.",
    "key_unknown":
        "The shop does not know the key that signed this entry. Set up signing on that phone again, then "
        "record it anew.",
    "signature_wrong": "The signature does not fit the entry: it was changed after signing, or never signed by {name}.",
    "key_of_other":
        "The entry names {name}, but another person's or another phone's key signed it. Tell the shop's "
        "admin.",
    "key_ended":
        "The signing key of {name} that signed this was ended on {day}. An inspector decides about this entry.",
    "key_unvouched":
        "A colleague has to vouch for the new signing key of {name} first: on the page Refused entries, on the "
        "colleague's own phone.",
    "vouch_wrong": "This vouch does not hold: {why}. Open the page Refused entries again.",
    "lease_ended":
        "The phone of {name} had not met the server for more than {days} days at the signing. An inspector decides "
        "about this entry.",
    "entry_resigned": "This entry is here already with another signature. The first one stands; tell the shop's admin.",
    "certificate_unfit": "The certificate of {name} (\"{kind}\") is not one that may sign this. It needs: {needs}.",
    "statement_differs":
        "The sentence that was signed is not the one of this card's local code. Update the app, then sign "
        "again.",
    "record_unfit": "This card cannot be signed off as {record}. Sync, open the release page again and sign there.",
    "code_not_fresh":
        "This needs the signing code for it alone. Open its page, look at what is signed, and type the code "
        "there.",
    "already_countersigned": "You have countersigned this item already. A second, different person must do it.",
    "nothing_to_send_back": "There is no standing result to send back. Record the item first.",
    "reason_needed": "Say why.",
    "times_missing": "The total time of the airframe is missing. Type it as the hour-meter shows it.",
    "tool_out_of_calibration":
        "The tool {serial} of \"{title}\" was out of calibration on {day}. Take the value again with another "
        "tool.",
    "not_in_quarantine": "There is no refused entry by that name. Sync, then open the list again.",
    "not_admissible": "This refusal cannot be lifted: {why}. Set it aside, with your reason.",
    "already_resolved": "Somebody has decided about this entry already. Open the list again.",
    "enrolment_wrong": "Signing could not be set up: {why}. Sign in again and repeat it.",
    "session_of_other":
        "The server still knows another person on this phone. Type your signing code once more where there is "
        "a network.",
    "session_proof_wrong": "The server does not accept this phone's key for signing in. Sign in with your password.",
    "log_rewritten":
        "ALARM: the server's records do not continue what this phone has seen. Something old was changed or "
        "removed. Do not release any aircraft. Tell the shop's owner.",
    "log_set_back":
        "The server knows less than this phone has seen: {server} records instead of {phone}. A restored "
        "backup does that, and so does somebody who removes records. Ask the shop's admin before you go on.",
    "log_key_changed":
        "ALARM: the server signs its records with another key than before. Do not release any aircraft. Tell "
        "the shop's owner.",
    "key_none": "Signing is not set up for {name} on this phone. Set it up once, where there is a network.",
    "key_not_kept":
        "This browser cannot keep a signing key ({why}). Open the app in an ordinary window of an up-to-date "
        "browser.",
    "key_locked": "Type your signing code first: signing locks after 5 minutes without a touch.",
    "key_gone":
        "The signing key of {name} on this phone was ended by the shop. Sign in with your password and set up "
        "signing again.",
    "code_wrong": "That is not the signing code. {left} tries are left, then the key on this phone is erased.",
    "code_erased":
        "Ten wrong codes: the signing key on this phone is erased. Nothing recorded is lost. Sign in with "
        "your password and set up signing again.",
    "code_weak": "{why} Take at least 8 digits, or at least 6 letters and digits mixed.",
    "codes_differ": "The two codes are not the same. Type both again.",
    "passkey_failed": "The phone's own unlock was not given. Try again.",
    "lease_over":
        "This phone has not met the server for {days} days, so it may not sign. Connect it once; nothing is "
        "lost.",
    "login_taken": "There is somebody called {login} already. Take another sign-in name.",
    "login_reserved":
        "The sign-in name {login} belonged to somebody before and is never given again. Take another one.",
    "password_short": "The password has {count} characters. Take {least} or more, for example four words.",
    "certificate_missing": "Who records or releases signs with a certificate. Give its kind and number.",
    "certificate_taken":
        "{name} has that certificate already. One person has one account: change theirs, or correct the number.",
    "last_author": "This would leave the shop without an author. Give somebody else that role first.",
    "days_wrong": "The last day is before the first. Correct one of them.",
    "code_slot": "The sentence \"{key}\" uses the slot {slot}, which does not exist. The slots are: {slots}.",
    "code_incomplete": "The local code lacks {what}. Fill it in, then save.",
    "template_refused": "{trail}: {found} Write {advice}.",
}


class Problem(Exception):
    """A refusal with its evidence.

    `code` is one of `SENTENCES`, `fields` fill the sentence and stay readable for programs.
    """

    def __init__(self, code, **fields):
        self.code = code
        self.fields = fields
        self.sentence = sentence(code, fields)
        super().__init__(self.sentence)


def sentence(code, fields):
    """The sentence of `code` with its `fields` (a mapping of texts and numbers) filled in.

    Raises KeyError for a code or a field that the table does not know.
    """
    return SENTENCES[code].format_map(fields)
