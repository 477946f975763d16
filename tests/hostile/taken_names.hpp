// SPDX-License-Identifier: BSL-1.0
#pragma once

// Names that other people's headers take as macros, defined as they define them: <windows.h> and what it includes,
// C's <complex.h> and <math.h>, <sys/sysmacros.h>, <termios.h>, <signal.h>, <X11/X.h>, <AssertMacros.h>. Headers of
// ours that come behind them must compile all the same. (Not here: `emit`, a keyword macro of Qt that QT_NO_KEYWORDS takes away;
// circuit/program.hpp has a function of that name.)
#define min(a, b) (((a) < (b)) ? (a) : (b))
#define max(a, b) (((a) > (b)) ? (a) : (b))
#define small char
#define si_value _sifields._rt.si_sigval
#define hyper __int64
#define near
#define far
#define NEAR
#define FAR
#define interface struct
#define cdecl
#define pascal
#define CONST const
#define VOID void
#define IN
#define OUT
#define OPTIONAL
#define ERROR 0
#define NO_ERROR 0L
#define DELETE (0x00010000L)
#define STRICT 1
#define TRUE 1
#define FALSE 0
#define I _Complex_I
#define DOMAIN 1
#define SING 2
#define OVERFLOW 3
#define UNDERFLOW 4
#define HUGE 3.40282347e+38F
#define major(device) ((device) >> 8)
#define minor(device) ((device)&0xff)
#define B0 0000000
#define B50 0000001
#define None 0L
#define Bool int
#define True 1
#define False 0
#define Status int
#define Success 0
#define Always 2
#define Complex 0
#define check(assertion)
#define verify(assertion)
#define require(assertion, label)
