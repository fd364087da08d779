/**
 * What JUnit XML may hold, as an XML Schema in the project's own words.
 *
 * JUnit XML has no standard. Two published descriptions are what readers go by, and this one allows only what both allow: the schema
 * of Ant's JUnit task (windyroad/JUnit-Schema, JUnit.xsd) and that of the xUnit plugin of Jenkins (junit-10.xsd). From Ant come the
 * required attributes, the fixed order, one result at most for a case, and the timestamp without a zone; from Jenkins the time as
 * a plain decimal and at least one property. No package of a fair size ships either, so the check is written by hand from reading both.
 */

export const JUNIT_XSD = `<?xml version="1.0" encoding="UTF-8"?>
<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema">
  <xs:simpleType name="name"><xs:restriction base="xs:token"><xs:minLength value="1"/></xs:restriction></xs:simpleType>
  <xs:simpleType name="seconds"><xs:restriction base="xs:string"><xs:pattern value="[0-9]{1,3}(\\.[0-9]*)?"/></xs:restriction></xs:simpleType>
  <xs:simpleType name="instant">
    <xs:restriction base="xs:dateTime"><xs:pattern value="\\d{4}-\\d\\d-\\d\\dT\\d\\d:\\d\\d:\\d\\d"/></xs:restriction>
  </xs:simpleType>
  <xs:complexType name="outcome">
    <xs:simpleContent>
      <xs:extension base="xs:string">
        <xs:attribute name="message" type="xs:string"/>
        <xs:attribute name="type" type="xs:string" use="required"/>
      </xs:extension>
    </xs:simpleContent>
  </xs:complexType>
  <xs:complexType name="property">
    <xs:attribute name="name" type="name" use="required"/>
    <xs:attribute name="value" type="xs:string" use="required"/>
  </xs:complexType>
  <xs:complexType name="case">
    <xs:choice minOccurs="0">
      <xs:element name="skipped"/>
      <xs:element name="error" type="outcome"/>
      <xs:element name="failure" type="outcome"/>
    </xs:choice>
    <xs:attribute name="name" type="xs:token" use="required"/>
    <xs:attribute name="classname" type="xs:token" use="required"/>
    <xs:attribute name="time" type="seconds" use="required"/>
  </xs:complexType>
  <xs:complexType name="suite">
    <xs:sequence>
      <xs:element name="properties">
        <xs:complexType>
          <xs:sequence><xs:element name="property" type="property" maxOccurs="unbounded"/></xs:sequence>
        </xs:complexType>
      </xs:element>
      <xs:element name="testcase" type="case" minOccurs="0" maxOccurs="unbounded"/>
      <xs:element name="system-out" type="xs:string"/>
      <xs:element name="system-err" type="xs:string"/>
    </xs:sequence>
    <xs:attribute name="name" type="name" use="required"/>
    <xs:attribute name="package" type="xs:token" use="required"/>
    <xs:attribute name="id" type="xs:int" use="required"/>
    <xs:attribute name="timestamp" type="instant" use="required"/>
    <xs:attribute name="hostname" type="name" use="required"/>
    <xs:attribute name="tests" type="xs:int" use="required"/>
    <xs:attribute name="failures" type="xs:int" use="required"/>
    <xs:attribute name="errors" type="xs:int" use="required"/>
    <xs:attribute name="time" type="seconds" use="required"/>
  </xs:complexType>
  <xs:element name="testsuites">
    <xs:complexType>
      <xs:sequence><xs:element name="testsuite" type="suite" minOccurs="0" maxOccurs="unbounded"/></xs:sequence>
    </xs:complexType>
  </xs:element>
</xs:schema>
`;
