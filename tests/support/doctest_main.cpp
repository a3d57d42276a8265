// SPDX-License-Identifier: Apache-2.0
// The one main of every unit test program.
#define DOCTEST_CONFIG_IMPLEMENT_WITH_MAIN
#include <doctest/doctest.h>
