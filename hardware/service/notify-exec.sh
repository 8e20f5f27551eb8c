#!/bin/sh
# Connects the service manager's notification socket, hands it down and becomes the program given:
#   notify-exec.sh PROGRAM ARGUMENT...
# The program keeps this process's id, so that the manager knows its word (NotifyAccess=main). Its
# write into descriptor LEES_NOTIFY_FD is then one datagram; the socket never waits. It needs
# perl-base, which every Debian has. Without NOTIFY_SOCKET it only becomes the program.
set -eu

if [ $# -eq 0 ]; then
	echo "notify-exec.sh: found no program; allowed: PROGRAM ARGUMENT..." >&2
	exit 2
fi
[ -n "${NOTIFY_SOCKET:-}" ] || exec "$@"

# shellcheck disable=SC2016 # the dollars are perl's
exec /usr/bin/perl -e '
	use strict;
	use Socket;
	use Fcntl;
	my $path = $ENV{NOTIFY_SOCKET};
	# A name that begins with @ is in no folder: sd_notify(3).
	$path =~ s/^@/\0/;
	my $socket;
	my $good = socket($socket, AF_UNIX, SOCK_DGRAM, 0)
		&& connect($socket, sockaddr_un($path))
		&& fcntl($socket, F_SETFL, O_WRONLY | O_NONBLOCK)
		&& fcntl($socket, F_SETFD, 0);
	if ($good) {
		$ENV{LEES_NOTIFY_FD} = fileno $socket;
	} else {
		# It pumps without a watchdog rather than not at all: the dead-man is the one that counts.
		print STDERR "notify-exec.sh: $ENV{NOTIFY_SOCKET}: $!\n";
	}
	exec { $ARGV[0] } @ARGV or print STDERR "notify-exec.sh: $ARGV[0]: $!\n";
	exit 2;
' -- "$@"
