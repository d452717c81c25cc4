#!/bin/sh
# The spreadsheet programs that the tests recalculate with. Installs them where it
# can; elsewhere says what to install. The tests themselves fail in CI without them.
set -u
missing=""
command -v soffice >/dev/null 2>&1 || missing="$missing libreoffice-calc"
command -v ssconvert >/dev/null 2>&1 || missing="$missing gnumeric"
command -v pdftoppm >/dev/null 2>&1 || missing="$missing poppler-utils"
/usr/bin/python3 -c 'import uno' >/dev/null 2>&1 || missing="$missing python3-uno"
fc-list 2>/dev/null | grep -qi carlito || missing="$missing fonts-crosextra-carlito"
[ -z "$missing" ] && exit 0

if command -v apt-get >/dev/null 2>&1 && [ "$(id -u)" = 0 ]; then
    echo "Installing$missing"
    export DEBIAN_FRONTEND=noninteractive
    # shellcheck disable=SC2086
    { apt-get update && apt-get install -y --no-install-recommends $missing; } >/dev/null 2>&1 &&
        exit 0
    echo "That failed."
fi
echo "The tests against other spreadsheet programs need:$missing"
echo "Debian and Ubuntu: sudo apt-get install$missing"
echo "Elsewhere: install LibreOffice, Gnumeric and Poppler; without them those tests skip."
exit 0
