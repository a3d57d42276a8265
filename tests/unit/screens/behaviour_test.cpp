// SPDX-License-Identifier: Apache-2.0
#include <doctest/doctest.h>
