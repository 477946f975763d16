# SPDX-License-Identifier: BSL-1.0
# What our own tests, examples and benchmarks are built with. None of it reaches a consumer: it sits on a target
# that is linked privately and never installed.
option(LODEWIRE_WERROR "Turn the warnings of our tests, examples and benchmarks into errors" OFF)
set(LODEWIRE_SANITIZE "" CACHE STRING "Sanitizers for the same, a list such as address;undefined")

if(PROJECT_IS_TOP_LEVEL AND NOT CMAKE_CONFIGURATION_TYPES AND NOT CMAKE_BUILD_TYPE)
  set(CMAKE_BUILD_TYPE Release CACHE STRING "Build type" FORCE)
endif()

add_library(lodewire_strict INTERFACE)
if(CMAKE_CXX_COMPILER_ID MATCHES "GNU|Clang")
  target_compile_options(lodewire_strict INTERFACE
    -Wall -Wextra -Wpedantic -Wconversion -Wsign-conversion -Wshadow -Wdouble-promotion -Wold-style-cast
    $<$<BOOL:${LODEWIRE_WERROR}>:-Werror>)
  # g++ 12 at -O2 and above: text + text and a moved std::variant are said to overlap, or to be unset (GCC bugs 105651
  # and 80635).
  if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU" AND CMAKE_CXX_COMPILER_VERSION VERSION_LESS 13)
    target_compile_options(lodewire_strict INTERFACE -Wno-restrict -Wno-maybe-uninitialized)
  endif()
  if(LODEWIRE_SANITIZE)
    list(JOIN LODEWIRE_SANITIZE "," sanitizers)
    target_compile_options(lodewire_strict INTERFACE
      -fsanitize=${sanitizers} -fno-sanitize-recover=all -fno-omit-frame-pointer)
    target_link_options(lodewire_strict INTERFACE -fsanitize=${sanitizers})
  endif()
endif()

# lodewire_program(<target> <source>...): an executable of ours.
function(lodewire_program target)
  add_executable(${target} ${ARGN})
  target_link_libraries(${target} PRIVATE lodewire::lodewire lodewire_strict)
  set_target_properties(${target} PROPERTIES CXX_EXTENSIONS OFF)
endfunction()

# lodewire::ngspice, where it is installed: a general-purpose circuit solver, an independent reference.
find_library(LODEWIRE_NGSPICE_LIBRARY ngspice)
find_path(LODEWIRE_NGSPICE_INCLUDE ngspice/sharedspice.h)
mark_as_advanced(LODEWIRE_NGSPICE_LIBRARY LODEWIRE_NGSPICE_INCLUDE)
if(LODEWIRE_NGSPICE_LIBRARY AND LODEWIRE_NGSPICE_INCLUDE)
  add_library(lodewire_ngspice INTERFACE)
  add_library(lodewire::ngspice ALIAS lodewire_ngspice)
  target_include_directories(lodewire_ngspice SYSTEM INTERFACE "${LODEWIRE_NGSPICE_INCLUDE}")
  target_link_libraries(lodewire_ngspice INTERFACE "${LODEWIRE_NGSPICE_LIBRARY}")
endif()
