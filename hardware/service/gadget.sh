#!/bin/sh
# Makes this computer's own USB port a serial port for a laptop (one CDC ACM function), or takes it
# away again:  gadget.sh start | stop | status
# Safe to repeat. Source of the folder's layout: the Linux kernel's documentation, "Linux USB gadget
# configured through configfs". LEES_CONFIGFS, LEES_UDC_CLASS, LEES_MACHINE_ID: other places, for
# tests.
set -eu

configfs=${LEES_CONFIGFS:-/sys/kernel/config}
udc_class=${LEES_UDC_CLASS:-/sys/class/udc}
machine_id=${LEES_MACHINE_ID:-/etc/machine-id}
gadget=$configfs/usb_gadget/lees

fail() {
	echo "gadget.sh: $1" >&2
	exit 2
}

# Writes only what differs: some attributes cannot be written while a laptop is connected.
put() {
	[ "$(cat "$1" 2>/dev/null || true)" = "$2" ] || printf '%s\n' "$2" >"$1"
}

# The same each time, told from every other computer's, and not the machine's own id, which is to
# be kept private: machine-id(5).
serial_number() {
	printf 'lees-%s' "$( (cat "$machine_id"; echo lees) | sha256sum | cut -c 1-12)"
}

start() {
	if [ ! -d "$configfs/usb_gadget" ]; then
		modprobe libcomposite 2>/dev/null || true
		[ -d "$configfs/usb_gadget" ] ||
			fail "found no $configfs/usb_gadget; allowed: a kernel with libcomposite and configfs"
	fi
	[ -s "$machine_id" ] || fail "found no $machine_id; allowed: systemd-machine-id-setup makes it"
	# Some computers have two; the first is the one with the socket (common practice, no source).
	udc=$(find "$udc_class" -mindepth 1 -maxdepth 1 2>/dev/null | sort | head -n 1)
	[ -n "$udc" ] ||
		fail "found nothing in $udc_class; allowed: a USB port that can be a device (see README.md)"
	udc=$(basename "$udc")
	bound=$(cat "$gadget/UDC" 2>/dev/null || true)
	if [ "$bound" = "$udc" ]; then
		echo "the serial gadget is on $udc already"
		return
	fi

	mkdir -p "$gadget"
	# 1d6b:0104 stands for a composite gadget of Linux (from memory).
	put "$gadget/idVendor" 0x1d6b
	put "$gadget/idProduct" 0x0104
	put "$gadget/bcdDevice" 0x0100
	put "$gadget/bcdUSB" 0x0200
	# Its functions say what they are, each with its own group of interfaces (USB's IAD note).
	put "$gadget/bDeviceClass" 0xef
	put "$gadget/bDeviceSubClass" 0x02
	put "$gadget/bDeviceProtocol" 0x01
	# 0x409: English (United States).
	mkdir -p "$gadget/strings/0x409"
	put "$gadget/strings/0x409/serialnumber" "$(serial_number)"
	put "$gadget/strings/0x409/manufacturer" Lees
	put "$gadget/strings/0x409/product" "Lees link"
	mkdir -p "$gadget/configs/c.1/strings/0x409"
	put "$gadget/configs/c.1/strings/0x409/configuration" "serial port"
	# Fed from its own supply: it asks the laptop for as little as can be said.
	put "$gadget/configs/c.1/bmAttributes" 0xc0
	put "$gadget/configs/c.1/MaxPower" 2
	mkdir -p "$gadget/functions/acm.link"
	[ -e "$gadget/configs/c.1/acm.link" ] ||
		ln -s "$gadget/functions/acm.link" "$gadget/configs/c.1/acm.link"
	printf '%s\n' "$udc" >"$gadget/UDC"
	echo "the serial gadget is on $udc: a laptop there sees one serial port"
}

# In the reverse order; each step only where it was made, so that half a start is undone as well.
stop() {
	[ -d "$gadget" ] || {
		echo "there is no serial gadget"
		return
	}
	[ -z "$(cat "$gadget/UDC" 2>/dev/null || true)" ] || printf '\n' >"$gadget/UDC"
	[ ! -e "$gadget/configs/c.1/acm.link" ] || rm "$gadget/configs/c.1/acm.link"
	for folder in configs/c.1/strings/0x409 configs/c.1 functions/acm.link strings/0x409 .; do
		[ ! -d "$gadget/$folder" ] || rmdir "$gadget/${folder%.}"
	done
	echo "the serial gadget is taken away"
}

status() {
	bound=$(cat "$gadget/UDC" 2>/dev/null || true)
	if [ -n "$bound" ]; then echo "on $bound"; else
		echo "off"
		exit 1
	fi
}

case ${1:-} in
start | stop | status) "$1" ;;
*) fail "found \"${1:-}\"; allowed: start, stop or status" ;;
esac
