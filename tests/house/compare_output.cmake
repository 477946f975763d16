# SPDX-License-Identifier: BSL-1.0
# cmake -DPROGRAM=... -DEXPECTED=... -P compare_output.cmake: runs the program and compares what it prints, to the
# letter, with the expected file. To renew that file, read the difference first, then: PROGRAM > EXPECTED.
execute_process(COMMAND "${PROGRAM}" OUTPUT_VARIABLE printed RESULT_VARIABLE status)
if(NOT status EQUAL 0)
  message(FATAL_ERROR "${PROGRAM} ended with ${status}")
endif()
file(READ "${EXPECTED}" expected)
if(NOT printed STREQUAL expected)
  cmake_path(GET PROGRAM STEM name)
  file(WRITE "${name}.printed.txt" "${printed}")
  execute_process(COMMAND diff -u "${EXPECTED}" "${name}.printed.txt" OUTPUT_VARIABLE difference)
  message(FATAL_ERROR "${PROGRAM} does not print what it did:\n${difference}")
endif()
