"use strict";
// The word of the code that was scanned stands behind the # of the address, which is sent to nobody; from there it goes
// into the form, and out of the address.
const word = location.hash.slice(1);
if (word) {
  document.getElementById("word").value = word;
  history.replaceState(null, "", location.pathname);
  document.getElementById("name").focus();
}
