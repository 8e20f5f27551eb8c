#!/bin/sh
# Puts the controller into the service of a small computer with Debian or one of its relatives, or
# takes it off again. Safe to repeat; prints what it did. It starts no pump: the controller comes up
# idle, and starts nothing by itself before a person has ordered it. `install.sh --help` tells how.
# Exit 0 done, 2 bad input.
set -eu

project=$(cd "$(dirname "$0")/../.." && pwd -P)
here=$project/hardware/service
node_min=20.19
units="lees-control.service lees-gadget.service lees-serve.service"

usage() {
	cat <<'HELP'
install.sh --rig FILE --board-serial SERIAL [--link none|gadget|cable] [--link-serial SERIAL]
           [--pages | --no-pages] [--root DIR]
install.sh --uninstall [--purge] [--root DIR]

  --rig FILE             the rig file; kept as /etc/lees/rig.yaml
  --board-serial SERIAL  USB serial number of the board: udevadm info --query=property
                         --name=/dev/ttyACM0 shows it as ID_SERIAL_SHORT
  --link KIND            how a laptop is plugged in: gadget, this computer's own USB port; cable, a
                         USB-serial adapter in this computer; none (default), not at all
  --link-serial SERIAL   USB serial number of that adapter
  --pages, --no-pages    serve the pages on the boat's network, or do not (default)
  --uninstall            take all of it off; log, archive and rig file stay
  --purge                with --uninstall: log, archive, rig file and user go too
  --root DIR             a dry run: put the files under DIR and leave this computer as it is

What is left out stays as it was at the last time.
HELP
}

refuse() {
	echo "install.sh: $1: found $2; allowed: $3" >&2
	exit 2
}
say() { echo "$1"; }

root="" rig="" board="" link="" cable="" pages="" uninstall="" purge=""
value_of() { [ $# -ge 2 ] || refuse "$1" "nothing" "a value after it"; }
while [ $# -gt 0 ]; do
	case $1 in
	--rig | --board-serial | --link | --link-serial | --root)
		value_of "$@"
		case $1 in
		--rig) rig=$2 ;;
		--board-serial) board=$2 ;;
		--link) link=$2 ;;
		--link-serial) cable=$2 ;;
		--root) root=$2 ;;
		esac
		shift 2
		;;
	--pages) pages=yes && shift ;;
	--no-pages) pages=no && shift ;;
	--uninstall) uninstall=yes && shift ;;
	--purge) purge=yes && shift ;;
	--help) usage && exit 0 ;;
	*) refuse "option" "\"$1\"" "those of install.sh --help" ;;
	esac
done
if [ -n "$root" ]; then
	[ -d "$root" ] || refuse "--root" "\"$root\"" "a folder that is there"
	root=$(cd "$root" && pwd -P)
	[ "$root" != / ] || refuse "--root" "/" "a folder for the dry run"
elif [ "$(id -u)" -ne 0 ]; then
	refuse "user" "$(id -un)" "root, or --root DIR for a dry run"
fi
[ -z "$purge" ] || [ -n "$uninstall" ] || refuse "--purge" "it alone" "it with --uninstall"

etc=$root/etc/lees
env_file=$etc/service.env
system=$root/etc/systemd/system
rules=$root/etc/udev/rules.d/60-lees.rules
modules=$root/etc/modules-load.d/lees.conf
log=$root/var/lib/lees
archive=$root/var/lib/lees-archive

# Does it here, or says what it would do in a dry run.
do_here() {
	if [ -n "$root" ]; then say "would do: $*"; else "$@"; fi
}

# Puts standard input into a file, where it differs; a file is never half written.
place() {
	mkdir -p "$(dirname "$1")"
	cat >"$1.new"
	chmod 0644 "$1.new"
	if cmp -s "$1.new" "$1"; then
		rm "$1.new"
		say "unchanged: $1"
	else
		mv "$1.new" "$1"
		say "written: $1"
	fi
}

take_off() {
	if [ -e "$1" ] || [ -L "$1" ]; then
		rm -rf "$1"
		say "removed: $1"
	fi
}

reload() {
	do_here systemctl daemon-reload
	# Where it does not run, as in a container, there is nothing to tell it.
	do_here udevadm control --reload || say "udev was not told: plug the board in anew"
	do_here udevadm trigger --subsystem-match=tty || say "udev was not asked to look again"
}

if [ -n "$uninstall" ]; then
	for unit in lees-serve lees-control lees-gadget; do
		# Asked to end, the controller stops the pump first.
		if [ -z "$root" ]; then systemctl disable --now --quiet "$unit" 2>/dev/null || true; fi
		take_off "$system/multi-user.target.wants/$unit.service"
		take_off "$system/$unit.service"
	done
	take_off "$rules"
	take_off "$modules"
	take_off "$env_file"
	reload
	if [ -n "$purge" ]; then
		take_off "$log"
		take_off "$archive"
		take_off "$etc"
		if [ -z "$root" ] && getent passwd lees >/dev/null; then userdel lees; fi
	else
		say "kept: $log, $archive, $etc/rig.yaml and the user lees; --purge removes them"
	fi
	exit 0
fi

# What was said the last time, where it is not said now.
kept() { sed -n "s/^$1=//p" "$env_file" 2>/dev/null | tr -d '"' | head -n 1; }
ask() {
	[ -t 0 ] || return 0
	printf '%s: ' "$1" >&2
	read -r answer && echo "$answer"
}

[ -n "$link" ] || link=$(kept LEES_LINK_KIND)
[ -n "$link" ] || link=none
[ -n "$board" ] || board=$(kept LEES_BOARD_SERIAL)
[ -n "$board" ] || board=$(ask "USB serial number of the board")
if [ "$link" = cable ]; then
	[ -n "$cable" ] || cable=$(kept LEES_LINK_SERIAL)
	[ -n "$cable" ] || cable=$(ask "USB serial number of the link's adapter")
elif [ -n "$cable" ]; then
	refuse "--link-serial" "it with --link $link" "it with --link cable"
fi
[ -n "$pages" ] || pages=$(kept LEES_PAGES_ON)
[ -n "$pages" ] || pages=no
if [ -z "$rig" ] && [ ! -e "$etc/rig.yaml" ]; then rig=$(ask "path of the rig file"); fi

# A serial number goes into a udev rule, where other characters would mean something.
check_serial() {
	case $2 in
	"") refuse "$1" "nothing" "the USB serial number" ;;
	*[!A-Za-z0-9._:-]*) refuse "$1" "\"$2\"" "letters, digits and . _ : -" ;;
	esac
}
check_serial --board-serial "$board"
case $link in
none | gadget) ;;
cable)
	check_serial --link-serial "$cable"
	[ "$cable" != "$board" ] || refuse "--link-serial" "the board's" "another device's"
	;;
*) refuse "--link" "\"$link\"" "none, gadget or cable" ;;
esac

node=$(command -v node || true)
[ -n "$node" ] || refuse "node" "none on the path" "Node $node_min or newer"
node=$(readlink -f "$node")
version=$("$node" -p process.versions.node)
lowest=$(printf '%s\n%s\n' "$node_min" "$version" | sort -V | head -n 1)
[ "$lowest" = "$node_min" ] || refuse "$node" "Node $version" "$node_min or newer"
command=$project/.build/host/cli/main.js
[ -e "$command" ] || refuse "$command" "nothing" "a built project: npm ci && npm run build"
[ "$pages" = no ] || [ -d "$project/.build/web" ] ||
	refuse "$project/.build/web" "nothing" "the built pages: npm run build"
[ -x /usr/bin/perl ] || refuse "/usr/bin/perl" "nothing" "Debian's package perl-base"
if [ -z "$root" ]; then
	[ -d /run/systemd/system ] || refuse "init" "no systemd" "a Debian that runs systemd"
	for path in "$project" "$node"; do
		case $path/ in
		/home/* | /root/* | /tmp/* | /run/user/*)
			refuse "$path" "a folder that the service does not see" "/opt or /usr"
			;;
		esac
	done
fi
case $project$node in
*[!A-Za-z0-9._/+-]*) refuse "path" "$project, $node" "letters, digits and . _ / + -" ;;
esac

if [ -n "$rig" ]; then
	[ -f "$rig" ] || refuse "--rig" "\"$rig\"" "a rig file that is there"
	# Exit 1 says that this rig may not be left alone, which is no fault of the file.
	status=0
	"$node" "$command" coverage "$rig" >/dev/null || status=$?
	[ "$status" -le 1 ] || exit 2
elif [ ! -e "$etc/rig.yaml" ]; then
	refuse "--rig" "nothing" "the rig file"
fi

if [ -z "$root" ] && ! getent passwd lees >/dev/null; then
	useradd --system --user-group --no-create-home --home-dir /var/lib/lees \
		--shell /usr/sbin/nologin lees
	say "made: user lees"
fi
# A dry run has no such user to give them to.
for folder in "$log" "$log/log" "$archive"; do
	if [ -n "$root" ]; then install -d -m 0750 "$folder"; else
		install -d -m 0750 -o lees -g lees "$folder"
	fi
	say "there: $folder, for the user lees alone"
done
if [ -n "$rig" ]; then place "$etc/rig.yaml" <"$rig"; fi

link_option=""
[ "$link" = none ] || link_option="--link /dev/lees-link"
more_pages=$(kept LEES_PAGES)
place "$env_file" <<ENV
# Written by install.sh, read by it and by the services. LEES_PAGES is yours: further options of
# "lees serve", such as --name HOST; install.sh keeps it.
LEES_BOARD_SERIAL=$board
LEES_LINK_KIND=$link
LEES_LINK_SERIAL=$cable
LEES_LINK="$link_option"
LEES_PAGES_ON=$pages
LEES_PAGES="$more_pages"
ENV

for unit in $units; do
	if [ "$unit" = lees-gadget.service ] && [ "$link" != gadget ]; then continue; fi
	sed -e "s|@NODE@|$node|g" -e "s|@LEES@|$project|g" "$here/$unit" | place "$system/$unit"
done
unused='@CABLE@|ttyGS0|serial gadget'
if [ "$link" = gadget ]; then unused='@CABLE@'; fi
if [ "$link" = cable ]; then unused='ttyGS0|serial gadget'; fi
grep -Ev "$unused" "$here/60-lees.rules" |
	sed -e "s|@BOARD@|$board|g" -e "s|@CABLE@|$cable|g" | place "$rules"
# The kinds of serial ports have to be known when the controller starts, plugged in or not: it is
# let in by kind, and a kind that comes later would stay shut.
{
	printf '%s\n' "# Serial ports of the controller; written by install.sh." cdc_acm usbserial
	if [ "$link" = gadget ]; then printf '%s\n' libcomposite usb_f_acm; fi
} | place "$modules"

wants=$system/multi-user.target.wants
turn_on() {
	mkdir -p "$wants"
	[ -L "$wants/$1" ] || ln -s "/etc/systemd/system/$1" "$wants/$1"
	say "enabled: $1"
}
turn_off() {
	if [ -z "$root" ]; then systemctl disable --now --quiet "$1" 2>/dev/null || true; fi
	take_off "$wants/$1"
}
if [ "$link" = gadget ]; then turn_on lees-gadget.service; else
	turn_off lees-gadget.service
	take_off "$system/lees-gadget.service"
fi
turn_on lees-control.service
if [ "$pages" = yes ]; then turn_on lees-serve.service; else turn_off lees-serve.service; fi

[ -n "$root" ] || systemctl restart systemd-modules-load.service || true
reload
for unit in $units; do
	[ -L "$wants/$unit" ] || continue
	if [ -n "$root" ]; then say "would do: systemctl start $unit"; continue; fi
	if systemctl is-active --quiet "$unit"; then
		say "running, and left so: $unit; when no run is under way: systemctl restart $unit"
	else
		# Not waited for: the first look at a large log takes its time.
		systemctl start --no-block "$unit"
		say "started: $unit"
	fi
done
say "done; the controller starts idle. See it by: systemctl status lees-control"
