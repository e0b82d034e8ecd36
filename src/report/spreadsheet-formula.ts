/**
 * Texts that a spreadsheet would take for a formula when it opens a CSV file: those that begin with = + - @, a tab, a
 * carriage return or a line feed, or with one of the signs in full width. In a file for spreadsheets such a text is
 * given an apostrophe before it. A negative number is none, so that figures stay figures. Source: OWASP, "CSV
 * Injection" (community page), and ASVS 5.0, 1.2.10.
 */
export const SPREADSHEET_FORMULA = /^[=+@\t\r\n＝＋－＠].*$|^-(?!\d+(?:\.\d+)?$).*$/s;
