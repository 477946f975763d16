// SPDX-License-Identifier: BSL-1.0
// Links two files, each with every header of the library: once in alphabetical order, once the other way round.
long headers_sorted();
long headers_reversed();

int main() { return headers_sorted() >= 202002L && headers_sorted() == headers_reversed() ? 0 : 1; }
