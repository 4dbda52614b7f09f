package org.holebook.app.carry

import org.holebook.core.Pair
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertFalse
import org.junit.jupiter.api.Assertions.assertThrows
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

class AddressTest {
    @Test
    fun `a query reads as the browser meant it`() {
        // application/x-www-form-urlencoded as the URL standard (url.spec.whatwg.org, section 5.1) parses it.
        val read = Address.read("/hole/a%20b?thread=3%2F8-16&note=a+b%2Bc&empty=&alone&&name=Z%C3%A4hler")
        val wanted = listOf("thread" to "3/8-16", "note" to "a b+c", "empty" to "", "alone" to "", "name" to "Zähler")
        assertEquals("/hole/a b", read.path)
        assertEquals(wanted.map { (name, value) -> Pair(name, value) }, read.query)
        assertEquals("3/8-16", read.asked("thread"))
    }

    @Test
    fun `what is not well formed is refused`() {
        for (wrong in listOf("/a%", "/a%4", "/a%zz", "/a%ff", "/a%00", "/?a=%C3")) {
            assertThrows(BadAddress::class.java, { Address.read(wrong) }, wrong)
        }
        assertEquals("/a/b", Address.read("/a%2Fb").path)
    }

    @Test
    fun `only the reserved name is the notebook's`() {
        for (ours in listOf("https://notebook.invalid", "https://notebook.invalid/", "https://notebook.invalid/hole/1?a=b#c")) {
            assertTrue(Place.holds(ours), ours)
        }
        val others = listOf(
            "http://notebook.invalid/", "https://notebook.invalid.example.org/", "https://notebook.invalid@example.org/",
            "https://notebook.invalid:8443/", "https://example.org/https://notebook.invalid/", "file:///etc/hosts",
            "content://org.holebook.app.files/chosen/1", "about:blank", "javascript:alert(1)", "",
        )
        for (other in others) assertFalse(Place.holds(other), other)
        assertEquals("/hole/1?a=b", Place.within("https://notebook.invalid/hole/1?a=b#c"))
        assertEquals("/", Place.within("https://notebook.invalid"))
    }
}
