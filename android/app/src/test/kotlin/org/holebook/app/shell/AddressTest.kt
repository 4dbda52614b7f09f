package org.holebook.app.shell

import org.holebook.core.Pair
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertFalse
import org.junit.jupiter.api.Assertions.assertThrows
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

/** Parsing addresses, and telling the notebook's from others. */
class AddressTest {
    @Test
    fun `parses a query as a browser writes it`() {
        // application/x-www-form-urlencoded (URL Standard, url.spec.whatwg.org, section 5.1).
        val query = "thread=3%2F8-16&note=a+b%2Bc&empty=&alone&&name=Z%C3%A4hler"
        val address = Address.parse("/hole/a%20b?$query")
        val expected = listOf(
            Pair("thread", "3/8-16"),
            Pair("note", "a b+c"),
            Pair("empty", ""),
            Pair("alone", ""),
            Pair("name", "Zähler"),
        )
        assertEquals("/hole/a b", address.path)
        assertEquals(expected, address.query)
        assertEquals("3/8-16", address.parameter("thread"))
    }

    @Test
    fun `rejects invalid encoding`() {
        for (wrong in listOf("/a%", "/a%4", "/a%zz", "/a%ff", "/a%00", "/?a=%C3")) {
            assertThrows(InvalidAddress::class.java, { Address.parse(wrong) }, wrong)
        }
        assertEquals("/a/b", Address.parse("/a%2Fb").path)
    }

    @Test
    fun `only the reserved name is the notebook's`() {
        val origin = "https://notebook.invalid"
        for (own in listOf(origin, "$origin/", "$origin/hole/1?a=b#c")) {
            assertTrue(NotebookOrigin.contains(own), own)
        }
        val others = listOf(
            "http://notebook.invalid/",
            "https://notebook.invalid.example.org/",
            "https://notebook.invalid@example.org/",
            "https://notebook.invalid:8443/",
            "https://example.org/https://notebook.invalid/",
            "file:///etc/hosts",
            "content://org.holebook.app.files/chosen/1",
            "about:blank",
            "javascript:alert(1)",
            "",
        )
        for (other in others) assertFalse(NotebookOrigin.contains(other), other)
        assertEquals("/hole/1?a=b", NotebookOrigin.targetOf("$origin/hole/1?a=b#c"))
        assertEquals("/", NotebookOrigin.targetOf(origin))
    }
}
